// SPDX-License-Identifier: Apache-2.0
#include "io/yaml_cursor.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <map>

#include "io/nearest_word.h"
#include "io/strict_number.h"

namespace truepull {

Result<std::unique_ptr<YamlDocument>> YamlDocument::Parse(std::string_view text,
                                                          const std::string& name,
                                                          const YamlLimits& limits) {
  std::unique_ptr<YamlDocument> document(new YamlDocument(name, text));
  auto tree = ParseYamlTree(document->source_, limits);
  if (!tree) return tree.error();
  document->root_ = std::move(*tree);
  return document;
}

YamlCursor YamlDocument::Root(const std::string& what) {
  YamlCursor root(this, &root_, "", root_.place);
  if (!root.IsMap()) Report(source_.Whole("is not a " + what, "a " + what + " is a list of keys, each with its value"));
  return root;
}

void YamlCursor::Fail(const std::string& sentence, const std::string& hint, ErrorCode code) const {
  document_->Report(
      document_->source().At(place_, path_.empty() ? sentence : path_ + " " + sentence, hint, code));
}

std::string YamlCursor::Found() const {
  if (!node_) return "nothing";
  switch (node_->kind) {
    case YamlNode::Kind::kEmpty: return "empty";
    case YamlNode::Kind::kList: return "a list";
    case YamlNode::Kind::kMap: return "a set of keys";
    default: break;
  }
  std::string text = node_->text.substr(0, 60);
  std::replace(text.begin(), text.end(), '\n', ' ');
  if (node_->text.size() > 60) {
    while (!text.empty() && (static_cast<unsigned char>(text.back()) & 0x80)) text.pop_back();
    text += "...";
  }
  return node_->quoted ? '"' + text + '"' : text;
}

bool YamlCursor::Refuse(const std::string& wanted) const {
  if (node_ && node_->kind == YamlNode::Kind::kEmpty) {
    Fail("is empty; it must be " + wanted);
  } else {
    Fail("must be " + wanted + ", not " + Found());
  }
  return false;
}

bool YamlCursor::ExpectMapOfNames() const {
  if (!node_) return false;
  if (!IsMap()) return Refuse("a set of keys");
  std::map<std::string, TextPlace> seen;
  for (std::size_t i = 0; i < node_->keys.size(); ++i) {
    const std::string& key = node_->keys[i];
    const std::string full = path_.empty() ? key : path_ + "." + key;
    const YamlCursor at(document_, nullptr, full, node_->key_places[i]);
    if (key.empty()) return at.Fail("has no name"), false;
    const auto [it, fresh] = seen.emplace(key, node_->key_places[i]);
    if (!fresh) {
      at.Fail(fmt::format("is given twice, first on line {}", it->second.line + 1), "keep one of them");
      return false;
    }
  }
  return true;
}

bool YamlCursor::ExpectMap(const std::vector<std::string>& known) const {
  if (!node_) return false;
  if (!IsMap()) return Refuse("a set of keys (" + ListedWithOr(known) + ")");
  for (std::size_t i = 0; i < node_->keys.size(); ++i) {
    const std::string& key = node_->keys[i];
    if (std::find(known.begin(), known.end(), key) != known.end()) continue;
    const std::string near = NearestWord(key, known);
    const YamlCursor at(document_, nullptr, (path_.empty() ? "" : path_ + ".") + key.substr(0, 60),
                        node_->key_places[i]);
    at.Fail("is not a key that is known here",
            near.empty() ? "known here: " + ListedWithOr(known) : "did you mean " + near + "?");
    return false;
  }
  return ExpectMapOfNames();
}

std::vector<std::string> YamlCursor::Keys() const {
  return IsMap() ? node_->keys : std::vector<std::string>{};
}

YamlCursor YamlCursor::operator[](std::string_view key) const {
  const std::string full = (path_.empty() ? "" : path_ + ".") + std::string(key);
  if (IsMap()) {
    for (std::size_t i = 0; i < node_->keys.size(); ++i) {
      if (node_->keys[i] == key) return {document_, &node_->items[i], full, node_->items[i].place};
    }
  }
  return {document_, nullptr, full, place_};
}

YamlCursor YamlCursor::Need(std::string_view key) const {
  YamlCursor value = (*this)[key];
  if (!value.present() && IsMap()) value.Fail("is missing");
  return value;
}

bool YamlCursor::ExpectList(std::size_t least, std::size_t most, const std::string& of) const {
  if (!node_) return false;
  if (!IsList()) return Refuse("a list of " + of);
  if (size() < least) {
    Fail(size() == 0 ? fmt::format("has no {}", of)
                     : fmt::format("needs at least {} {}, not {}", least, of, size()));
    return false;
  }
  if (size() > most) {
    Fail(fmt::format("may have at most {} {}, not {}", most, of, size()));
    return false;
  }
  return true;
}

YamlCursor YamlCursor::Item(std::size_t i) const {
  const std::string full = fmt::format("{}[{}]", path_, i);
  if (!node_ || i >= node_->items.size()) return {document_, nullptr, full, place_};
  return {document_, &node_->items[i], full, node_->items[i].place};
}

double YamlCursor::Number(const NumberRange& range) const {
  if (!node_) return 0;
  if (!IsText()) return Refuse("a number"), 0;
  const StrictNumber number = ReadStrictNumber(node_->text);
  if (node_->quoted || !number.value) {
    Fail("must be a number, not " + Found(), node_->quoted && number.value ? "leave out the quotes" : number.hint);
    return 0;
  }
  const double value = *number.value * range.factor;
  const std::string unit = range.unit[0] == '\0' ? "" : std::string(" ") + range.unit;
  const std::string found =
      node_->text + (range.factor != 1 ? fmt::format(" in ({:.6g} {})", value, range.unit) : "");
  if (range.open_low ? value <= range.low : value < range.low) {
    Fail(range.open_low ? fmt::format("must be more than {}{}, not {}", range.low, unit, found)
                        : fmt::format("must be {}{} or more, not {}", range.low, unit, found));
    return 0;
  }
  if (range.open_high ? value >= range.high : value > range.high) {
    Fail(range.open_high ? fmt::format("must be less than {}{}, not {}", range.high, unit, found)
                         : fmt::format("must be {}{} or less, not {}", range.high, unit, found));
    return 0;
  }
  return value == 0 ? 0 : value;  // -0 would print as "-0".
}

int YamlCursor::Whole(int low, int high) const {
  if (!node_) return 0;
  if (!IsText()) return Refuse("a whole number"), 0;
  const StrictNumber number = ReadStrictNumber(node_->text);
  if (node_->quoted || !number.value || *number.value != std::floor(*number.value)) {
    Fail("must be a whole number, not " + Found(),
         node_->quoted && number.value ? "leave out the quotes" : number.hint);
    return 0;
  }
  if (*number.value < low) return Fail(fmt::format("must be {} or more, not {}", low, node_->text)), 0;
  if (*number.value > high) return Fail(fmt::format("must be {} or less, not {}", high, node_->text)), 0;
  return static_cast<int>(*number.value);
}

std::string YamlCursor::Text(std::size_t most_letters) const {
  if (!node_) return "";
  if (!IsText()) return Refuse("a text"), "";
  if (node_->text.empty()) return Fail("is empty"), "";
  if (node_->text.size() > most_letters) {
    return Fail(fmt::format("may have at most {} letters, not {}", most_letters, node_->text.size())), "";
  }
  return node_->text;
}

std::size_t YamlCursor::Choice(const std::vector<std::string>& words) const {
  if (!node_) return 0;
  if (!IsText()) return Refuse(ListedWithOr(words)), std::size_t{0};
  const auto it = std::find(words.begin(), words.end(), node_->text);
  if (it == words.end()) {
    const std::string near = NearestWord(node_->text, words);
    Fail("must be " + ListedWithOr(words) + ", not " + Found(), near.empty() ? "" : "did you mean " + near + "?");
    return 0;
  }
  return static_cast<std::size_t>(it - words.begin());
}

bool YamlCursor::TrueOrFalse() const { return Choice({"false", "true"}) == 1; }

}  // namespace truepull
