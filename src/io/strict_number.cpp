// SPDX-License-Identifier: Apache-2.0
#include "io/strict_number.h"

#include <algorithm>
#include <charconv>
#include <cmath>

namespace truepull {
namespace {

bool IsDigit(char c) { return c >= '0' && c <= '9'; }

std::size_t Digits(std::string_view text, std::size_t from) {
  std::size_t n = 0;
  while (from + n < text.size() && IsDigit(text[from + n])) ++n;
  return n;
}

// Length of the number that the text begins with; 0 when there is none.
std::size_t NumberLength(std::string_view text) {
  std::size_t i = !text.empty() && (text[0] == '+' || text[0] == '-') ? 1 : 0;
  const std::size_t whole = Digits(text, i);
  i += whole;
  std::size_t part = 0;
  if (i < text.size() && text[i] == '.') {
    part = Digits(text, i + 1);
    i += 1 + part;
  }
  if (whole + part == 0) return 0;
  if (i < text.size() && (text[i] == 'e' || text[i] == 'E')) {
    std::size_t j = i + 1;
    if (j < text.size() && (text[j] == '+' || text[j] == '-')) ++j;
    if (const std::size_t power = Digits(text, j)) i = j + power;
  }
  return i;
}

}  // namespace

StrictNumber ReadStrictNumber(std::string_view text) {
  const std::size_t length = NumberLength(text);
  if (length == 0) return {};
  const std::string_view rest = text.substr(length);
  if (rest.size() > 1 && rest[0] == ',' && Digits(rest, 1) == rest.size() - 1) {
    std::string dotted(text);
    std::replace(dotted.begin(), dotted.end(), ',', '.');
    return {std::nullopt, "write the decimal point as a dot: " + dotted};
  }
  if (!rest.empty()) {
    const bool unit = rest == "mm" || rest == " mm" || rest == "cm" || rest == " cm" || rest == "in" ||
                      rest == " in" || rest == "\"" || rest == "%" || rest == " %";
    return {std::nullopt, unit ? "write the number alone, without its unit" : ""};
  }
  std::string_view digits = text;
  const bool signed_plus = digits[0] == '+';
  if (signed_plus || digits[0] == '-') digits.remove_prefix(1);
  if (digits.size() > 1 && digits[0] == '0' && IsDigit(digits[1])) {
    const std::size_t first = std::min(digits.find_first_not_of('0'), digits.size() - 1);
    const std::string_view kept = digits.substr(first);
    return {std::nullopt, "leave out the zeros in front: " + std::string(text[0] == '-' ? "-" : "") +
                              (IsDigit(kept[0]) ? "" : "0") + std::string(kept)};
  }
  double value = 0;
  if (signed_plus) text.remove_prefix(1);
  const auto [end, ec] = std::from_chars(text.data(), text.data() + text.size(), value);
  if (ec != std::errc{} || end != text.data() + text.size() || !std::isfinite(value)) {
    return {std::nullopt, "the number is too large or too small for any use here"};
  }
  return {value, ""};
}

}  // namespace truepull
