// SPDX-License-Identifier: Apache-2.0
// Numbers as people mean them: no 010, 0x10, 1e999, NaN, "12mm" or decimal commas.
#ifndef TRUEPULL_IO_STRICT_NUMBER_H_
#define TRUEPULL_IO_STRICT_NUMBER_H_

#include <optional>
#include <string>
#include <string_view>

namespace truepull {

/// A number, or what is wrong with it.
struct StrictNumber {
  std::optional<double> value;
  std::string hint;  // A way out when there is no value; may be empty.
};

/// Reads [+-] digits [. digits] [e [+-] digits]. Never looks at the locale.
StrictNumber ReadStrictNumber(std::string_view text);

}  // namespace truepull

#endif  // TRUEPULL_IO_STRICT_NUMBER_H_
