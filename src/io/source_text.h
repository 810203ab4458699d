// SPDX-License-Identifier: Apache-2.0
// A text with its name: turns a place in it into "plan.yaml:14:9: ..." with a caret.
#ifndef TRUEPULL_IO_SOURCE_TEXT_H_
#define TRUEPULL_IO_SOURCE_TEXT_H_

#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "truepull/result.h"

namespace truepull {

/// A place in a text: line and column from 0, the column in bytes.
struct TextPlace {
  int line = 0;
  int column = 0;
};

class SourceText {
 public:
  SourceText(std::string name, std::string_view text);

  /// The text to parse: without a byte-order mark.
  const std::string& text() const { return text_; }
  const std::string& name() const { return name_; }

  /// "name:line:column: sentence", the line itself and a caret under the place. Columns
  /// are counted in characters from 1; of a long line only the part round the place is
  /// shown.
  Error At(TextPlace place,
           const std::string& sentence,
           const std::string& hint = "",
           ErrorCode code = ErrorCode::kInvalidFile) const;

  /// "name: sentence", for what concerns the whole file.
  Error Whole(const std::string& sentence, const std::string& hint = "") const;

 private:
  std::string_view Line(int line) const;

  std::string name_;
  std::string text_;
  std::vector<std::size_t> line_starts_;
};

/// Why a text is not plain UTF-8, or nothing when it is: broken sequences, control
/// characters other than tab and the ends of lines.
std::optional<TextPlace> FirstBadCharacter(std::string_view text);

}  // namespace truepull

#endif  // TRUEPULL_IO_SOURCE_TEXT_H_
