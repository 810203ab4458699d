// SPDX-License-Identifier: Apache-2.0
// Walks a YAML tree key by key and says what is wrong, with place and key path.
//
// The first fault is kept in the document; whatever is read after it gives harmless
// defaults, so a parser reads straight through and asks once at the end.
#ifndef TRUEPULL_IO_YAML_CURSOR_H_
#define TRUEPULL_IO_YAML_CURSOR_H_

#include <memory>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "io/source_text.h"
#include "io/yaml_tree.h"

namespace truepull {

class YamlCursor;

/// A parsed document and its first fault.
class YamlDocument {
 public:
  static Result<std::unique_ptr<YamlDocument>> Parse(std::string_view text,
                                                     const std::string& name,
                                                     const YamlLimits& limits = {});

  /// `what` names the file's kind in messages, as in "not a key of the plan".
  YamlCursor Root(const std::string& what);

  const SourceText& source() const { return source_; }
  const std::optional<Error>& fault() const { return fault_; }
  void Report(Error error) {
    if (!fault_) fault_ = std::move(error);
  }

 private:
  YamlDocument(std::string name, std::string_view text) : source_(std::move(name), text) {}

  SourceText source_;
  YamlNode root_;
  std::optional<Error> fault_;
};

/// What a number may be. Open ends are not allowed themselves.
struct NumberRange {
  double low = -1e9;
  double high = 1e9;
  bool open_low = false;
  bool open_high = false;
  const char* unit = "";  // Shown behind the bounds, e.g. "mm".
  double factor = 1;      // From the file's unit to `unit`; 25.4 for inches.
};

class YamlCursor {
 public:
  YamlCursor(YamlDocument* document, const YamlNode* node, std::string path, TextPlace place)
      : document_(document), node_(node), path_(std::move(path)), place_(place) {}

  bool present() const { return node_ != nullptr; }
  bool IsText() const { return node_ && node_->kind == YamlNode::Kind::kText; }
  bool IsList() const { return node_ && node_->kind == YamlNode::Kind::kList; }
  bool IsMap() const { return node_ && node_->kind == YamlNode::Kind::kMap; }
  /// Whether it is this bare word.
  bool IsWord(std::string_view word) const { return IsText() && node_->text == word; }
  const std::string& path() const { return path_; }
  YamlDocument& document() const { return *document_; }

  /// Checks that it is a map with only these keys, none doubled; false and a fault if not.
  bool ExpectMap(const std::vector<std::string>& known) const;
  /// The same with keys of the writer's own choosing, none empty.
  bool ExpectMapOfNames() const;
  /// Keys in the order of the file.
  std::vector<std::string> Keys() const;
  /// The value of a key; absent when it is not there.
  YamlCursor operator[](std::string_view key) const;
  /// The value of a key that must be there.
  YamlCursor Need(std::string_view key) const;

  /// Checks that it is a list of so many items; false and a fault if not. `of` names the
  /// items: "points", "colours".
  bool ExpectList(std::size_t least, std::size_t most, const std::string& of) const;
  std::size_t size() const { return node_ ? node_->items.size() : 0; }
  YamlCursor Item(std::size_t i) const;

  // Values. Absent or wrong ones give 0, "", 0 or false; wrong ones are a fault.
  double Number(const NumberRange& range) const;
  int Whole(int low, int high) const;
  std::string Text(std::size_t most_letters) const;
  /// Index of the word found.
  std::size_t Choice(const std::vector<std::string>& words) const;
  bool TrueOrFalse() const;

  /// Reports a fault here: "<place>: <path> <sentence>".
  void Fail(const std::string& sentence,
            const std::string& hint = "",
            ErrorCode code = ErrorCode::kInvalidFile) const;
  /// What stands here, short, for messages.
  std::string Found() const;

 private:
  bool Refuse(const std::string& wanted) const;

  YamlDocument* document_;
  const YamlNode* node_;
  std::string path_;
  TextPlace place_;
};

}  // namespace truepull

#endif  // TRUEPULL_IO_YAML_CURSOR_H_
