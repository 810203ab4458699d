// SPDX-License-Identifier: Apache-2.0
#include "fuzz/mutate.h"

#include <algorithm>
#include <array>
#include <cctype>

namespace truepull::testing {
namespace {

using Chance = std::mt19937_64;

constexpr std::size_t kMostBytes = 4 << 20;  // A file that doubles again and again stays this small.

std::size_t Below(std::size_t n, Chance& chance) { return n == 0 ? 0 : chance() % n; }

const std::array<std::string, 40> kWords = {
    "0", "-1", "1e308", "-1e-308", "nan", ".nan", "inf", "-.inf", "010", "0x7fffffff", "99999999999999999999", "2147483648",
    "-2147483649", "1e400", "1.", ".", "+", "~", "null", "true", "[]", "{}", "[[", "}}", "{a: &x [*x]}", "&a", "*a", "<<: *a", "!!binary",
    "\"", "'", "\\", "|", "%", "\t", "\xff\xfe", "\xc3\x28", "\xf0\x9f\x96\xa8", "<!DOCTYPE x [<!ENTITY e \"&e;&e;\">]>", "---\n"};

// The run of digits, points and signs about a place, or nothing.
std::pair<std::size_t, std::size_t> NumberAt(const std::string& s, std::size_t at) {
  const auto part = [](char c) { return std::isdigit(static_cast<unsigned char>(c)) != 0 || c == '.' || c == '-' || c == 'e'; };
  std::size_t from = at, to = at;
  while (from > 0 && part(s[from - 1])) --from;
  while (to < s.size() && part(s[to])) ++to;
  return {from, to};
}

void ChangeBytes(std::string& s, Chance& chance) {
  const std::size_t at = Below(s.size(), chance);
  switch (Below(3, chance)) {
    case 0: s[at] = static_cast<char>(s[at] ^ (1 << Below(8, chance))); break;
    case 1: s[at] = static_cast<char>(Below(256, chance)); break;
    default:  // Lengths and counts in a picture's head are wide.
      for (std::size_t i = at; i < std::min(at + 4, s.size()); ++i) s[i] = Below(2, chance) ? '\xff' : '\0';
  }
}

void MoveStretches(std::string& s, const std::string& other, Chance& chance) {
  const std::size_t at = Below(s.size(), chance);
  switch (Below(4, chance)) {
    case 0: s.resize(std::max<std::size_t>(1, at)); break;
    case 1: s.erase(at, 1 + Below(std::min<std::size_t>(s.size(), 200), chance)); break;
    case 2: {
      const std::string piece = s.substr(at, 1 + Below(400, chance));
      for (std::size_t n = 1 + Below(20, chance); n > 0 && s.size() < kMostBytes; --n) s.insert(at, piece);
      break;
    }
    default: {
      const std::size_t from = Below(other.size(), chance);
      s.insert(at, other.substr(from, 1 + Below(800, chance)));
    }
  }
}

void PutWords(std::string& s, Chance& chance) {
  const std::size_t at = Below(s.size(), chance);
  const std::string& word = kWords[Below(kWords.size(), chance)];
  switch (Below(4, chance)) {
    case 0: s.insert(at, word); break;
    case 1: {
      const std::size_t digit = s.find_first_of("0123456789", at);
      if (digit == std::string::npos) break;
      const auto [from, to] = NumberAt(s, digit);
      s.replace(from, to - from, word);
      break;
    }
    case 2: {  // A line twice, or gone.
      const std::size_t from = s.rfind('\n', at), to = s.find('\n', at);
      if (from == std::string::npos || to == std::string::npos || from >= to) break;
      const std::string line = s.substr(from, to - from);
      if (Below(2, chance)) s.insert(from, line);
      else s.erase(from, line.size());
      break;
    }
    default: s.insert(at, std::string(1 + Below(3000, chance), "[{(<"[Below(4, chance)]));
  }
}

}  // namespace

std::string Spoiled(const std::vector<std::string>& files, bool text, std::mt19937_64& chance) {
  std::string s = files[Below(files.size(), chance)];
  const std::string& other = files[Below(files.size(), chance)];
  // Half the files get one change only: those come furthest into a reader.
  for (std::size_t n = Below(2, chance) ? 1 : 1 + Below(6, chance); n > 0; --n) {
    if (s.empty()) s = " ";
    const std::size_t kind = Below(text ? 6 : 3, chance);
    if (kind < 2) ChangeBytes(s, chance);
    else if (kind == 2) MoveStretches(s, other, chance);
    else PutWords(s, chance);
  }
  return s;
}

}  // namespace truepull::testing
