// SPDX-License-Identifier: Apache-2.0
// How tests start the browser, where there is one.
#ifndef TRUEPULL_TESTS_SUPPORT_CHROMIUM_H_
#define TRUEPULL_TESTS_SUPPORT_CHROMIUM_H_

namespace truepull::testing {

// Root, as tests in a container are, cannot have the browser's own confinement.
inline constexpr const char* kChromium = "chromium --headless --no-sandbox --disable-gpu";

}  // namespace truepull::testing

#endif  // TRUEPULL_TESTS_SUPPORT_CHROMIUM_H_
