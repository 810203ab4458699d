// SPDX-License-Identifier: Apache-2.0
// A number with a set count of decimals, and no minus before a zero.
#ifndef TRUEPULL_GEOMETRY_FIXED_TEXT_H_
#define TRUEPULL_GEOMETRY_FIXED_TEXT_H_

#include <fmt/format.h>

#include <string>

namespace truepull {

inline std::string Fixed(double value, int decimals) {
  std::string text = fmt::format("{:.{}f}", value, decimals);
  if (text[0] == '-' && text.find_first_not_of("-0.") == std::string::npos) text.erase(0, 1);
  return text;
}

/// The same with a plus sign before what is over zero: for drift, where sign matters.
inline std::string FixedSigned(double value, int decimals) {
  std::string text = Fixed(value, decimals);
  const bool zero = text.find_first_not_of("-0.") == std::string::npos;
  return text[0] == '-' || zero ? text : "+" + text;
}

}  // namespace truepull

#endif  // TRUEPULL_GEOMETRY_FIXED_TEXT_H_
