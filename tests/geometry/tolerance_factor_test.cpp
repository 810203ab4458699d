// SPDX-License-Identifier: Apache-2.0
#include "truepull/tolerance_factor.h"

#include <gtest/gtest.h>

namespace truepull::testing {
namespace {

// Factors for 95 % content at 95 % confidence (ISO 16269-6, exact methods; recomputed from
// the definitions with another library).
TEST(ToleranceFactors, AgreeWithTheTables) {
  struct Row {
    int n;
    double one, two;
  };
  for (const Row& r : {Row{5, 4.2027, 5.0769}, {10, 2.9110, 3.3934}, {20, 2.3960, 2.7603}, {30, 2.2198, 2.5549}, {50, 2.0650, 2.3816}, {100, 1.9265, 2.2339}}) {
    EXPECT_NEAR(ToleranceFactorOneSided(r.n, 0.95, 0.95), r.one, 6e-5) << r.n;
    EXPECT_NEAR(ToleranceFactorTwoSided(r.n, 0.95, 0.95), r.two, 6e-5) << r.n;
  }
  EXPECT_NEAR(ToleranceFactorTwoSided(2, 0.9, 0.9), 15.5123, 6e-5);
  EXPECT_NEAR(ToleranceFactorOneSided(2, 0.9, 0.9), 10.2527, 6e-5);
  // NIST/SEMATECH e-Handbook 7.2.6.3: n = 43, 90 % content, 99 % confidence. Printed there
  // are approximations (1.8752 and 2.2173); the exact factors are these.
  EXPECT_NEAR(ToleranceFactorOneSided(43, 0.90, 0.99), 1.87395, 6e-6);
  EXPECT_NEAR(ToleranceFactorTwoSided(43, 0.90, 0.99), 2.22283, 6e-6);
}

// 95 % confidence, other contents (ISO 16269-6; from the noncentral t distribution with
// scipy 1.10).
TEST(ToleranceFactors, AgreeWithTheTablesForOtherContents) {
  const struct { int n; double p90, p99; } table[] = {
      {2, 20.5815, 37.0936}, {5, 3.4066, 5.7411},  {10, 2.3546, 3.9811}, {30, 1.7773, 3.0639},   {100, 1.5267, 2.6840}};
  for (const auto& row : table) {
    EXPECT_NEAR(ToleranceFactorOneSided(row.n, 0.90, 0.95) / row.p90, 1, 1e-4) << row.n;
    EXPECT_NEAR(ToleranceFactorOneSided(row.n, 0.99, 0.95) / row.p99, 1, 1e-4) << row.n;
  }
  EXPECT_NEAR(ToleranceFactorOneSided(2, 0.95, 0.95) / 26.2597, 1, 1e-4);
}

}  // namespace
}  // namespace truepull::testing
