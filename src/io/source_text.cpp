// SPDX-License-Identifier: Apache-2.0
#include "io/source_text.h"

#include <fmt/format.h>

#include <algorithm>

namespace truepull {
namespace {

// Of a longer line only a window is shown: an outline may be one line of 50 kB.
constexpr std::size_t kWindow = 96;
constexpr std::size_t kBefore = 40;

bool IsContinuation(char c) { return (static_cast<unsigned char>(c) & 0xC0) == 0x80; }

std::size_t CountCharacters(std::string_view bytes) {
  return static_cast<std::size_t>(
      std::count_if(bytes.begin(), bytes.end(), [](char c) { return !IsContinuation(c); }));
}

}  // namespace

SourceText::SourceText(std::string name, std::string_view text) : name_(std::move(name)) {
  if (text.substr(0, 3) == "\xEF\xBB\xBF") text.remove_prefix(3);
  text_ = text;
  line_starts_.push_back(0);
  for (std::size_t i = 0; i < text_.size(); ++i) {
    if (text_[i] == '\n') line_starts_.push_back(i + 1);
  }
}

std::string_view SourceText::Line(int line) const {
  const auto i = static_cast<std::size_t>(std::max(0, line));
  if (i >= line_starts_.size()) return {};
  const std::size_t begin = line_starts_[i];
  std::size_t end = text_.find('\n', begin);
  if (end == std::string::npos) end = text_.size();
  if (end > begin && text_[end - 1] == '\r') --end;
  return std::string_view(text_).substr(begin, end - begin);
}

Error SourceText::At(TextPlace place,
                     const std::string& sentence,
                     const std::string& hint,
                     ErrorCode code) const {
  const std::string_view line = Line(place.line);
  std::size_t at = std::min(static_cast<std::size_t>(std::max(0, place.column)), line.size());
  while (at > 0 && at < line.size() && IsContinuation(line[at])) --at;
  const std::size_t column = CountCharacters(line.substr(0, at)) + 1;

  std::size_t begin = 0, end = line.size();
  if (line.size() > kWindow) {
    begin = at > kBefore ? at - kBefore : 0;
    while (begin > 0 && IsContinuation(line[begin])) --begin;
    end = std::min(line.size(), begin + kWindow);
    while (end < line.size() && IsContinuation(line[end])) ++end;
  }
  std::string shown = (begin > 0 ? "..." : "") + std::string(line.substr(begin, end - begin)) +
                      (end < line.size() ? "..." : "");
  std::replace(shown.begin(), shown.end(), '\t', ' ');
  const std::size_t caret = CountCharacters(line.substr(begin, at - begin)) + (begin > 0 ? 3 : 0);
  return {code,
          fmt::format("{}:{}:{}: {}\n{}\n{}^", name_, place.line + 1, column, sentence, shown,
                      std::string(caret, ' ')),
          hint};
}

Error SourceText::Whole(const std::string& sentence, const std::string& hint) const {
  return {ErrorCode::kInvalidFile, name_ + ": " + sentence, hint};
}

std::optional<TextPlace> FirstBadCharacter(std::string_view text) {
  TextPlace place;
  for (std::size_t i = 0; i < text.size();) {
    const auto lead = static_cast<unsigned char>(text[i]);
    std::size_t length = 1;
    if (lead >= 0x80) {
      length = lead >= 0xF0 ? 4 : lead >= 0xE0 ? 3 : 2;
      bool good = lead >= 0xC2 && lead <= 0xF4 && i + length <= text.size();
      for (std::size_t k = 1; good && k < length; ++k) good = IsContinuation(text[i + k]);
      // Longer spellings than needed, surrogates, and past the last code point.
      if (good && length > 2) {
        const auto second = static_cast<unsigned char>(text[i + 1]);
        if ((lead == 0xE0 && second < 0xA0) || (lead == 0xED && second > 0x9F) ||
            (lead == 0xF0 && second < 0x90) || (lead == 0xF4 && second > 0x8F)) {
          good = false;
        }
      }
      if (!good) return place;
    } else if ((lead < 0x20 && lead != '\t' && lead != '\n' && lead != '\r') || lead == 0x7F) {
      return place;
    }
    i += length;
    place.column += static_cast<int>(length);
    if (lead == '\n') place = {place.line + 1, 0};
  }
  return std::nullopt;
}

}  // namespace truepull
