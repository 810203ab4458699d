// SPDX-License-Identifier: Apache-2.0
// Where the project and its program lie; the paths are compiled into one small file, so that a compiler cache serves every checkout.
#ifndef TRUEPULL_TESTS_SUPPORT_PLACES_H_
#define TRUEPULL_TESTS_SUPPORT_PLACES_H_

#include <string>

namespace truepull::testing {

/// The project's root, without a slash at the end.
std::string SourceFolder();

/// The built truepull.
std::string ProgramFile();

}  // namespace truepull::testing

#endif  // TRUEPULL_TESTS_SUPPORT_PLACES_H_
