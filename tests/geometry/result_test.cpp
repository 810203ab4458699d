// SPDX-License-Identifier: Apache-2.0
#include "truepull/result.h"

#include <gtest/gtest.h>

#include <memory>

namespace truepull {
namespace {

TEST(Result, HoldsAValueOrTheReasonWhyNot) {
  const Result<int> good = 7;
  EXPECT_TRUE(good);
  EXPECT_EQ(*good, 7);
  const Result<int> bad = Error{ErrorCode::kInvalidFile, "no rows", "add some"};
  EXPECT_FALSE(bad);
  EXPECT_EQ(bad.error().code, ErrorCode::kInvalidFile);
  EXPECT_EQ(bad.error().message, "no rows");
}

TEST(Result, CallsAskingForTheWrongOneABug) {
  const Result<int> good = 7, bad = Error{};
  EXPECT_THROW(static_cast<void>(bad.value()), std::logic_error);
  EXPECT_THROW(static_cast<void>(good.error()), std::logic_error);
}

TEST(Result, GivesUpWhatCannotBeCopied) {
  Result<std::unique_ptr<int>> held = std::make_unique<int>(3);
  const std::unique_ptr<int> taken = std::move(held).value();
  EXPECT_EQ(*taken, 3);
}

TEST(Status, IsDoneOrAnError) {
  EXPECT_TRUE(Status(Done{}));
  EXPECT_FALSE(Status(Error{}));
}

}  // namespace
}  // namespace truepull
