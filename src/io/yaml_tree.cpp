// SPDX-License-Identifier: Apache-2.0
#include "io/yaml_tree.h"

#include <fmt/format.h>
#include <yaml-cpp/eventhandler.h>
#include <yaml-cpp/exceptions.h>
#include <yaml-cpp/parser.h>

#include <sstream>

namespace truepull {
namespace {

// Leaves yaml-cpp's parser early; never leaves this file.
struct Refused {
  TextPlace place;
  std::string sentence;
  std::string hint;
};

TextPlace PlaceOf(const YAML::Mark& mark) { return {mark.line, mark.column}; }

class TreeBuilder : public YAML::EventHandler {
 public:
  TreeBuilder(YamlNode& root, const YamlLimits& limits) : root_(root), limits_(limits) {}

  void OnDocumentStart(const YAML::Mark&) override {}
  void OnDocumentEnd() override {}
  void OnNull(const YAML::Mark& mark, YAML::anchor_t anchor) override {
    Add(YamlNode::Kind::kEmpty, mark, "", anchor);
  }
  void OnAlias(const YAML::Mark& mark, YAML::anchor_t) override {
    throw Refused{PlaceOf(mark), "an alias (*name) has no place in this file",
                  "write the value out where it is needed"};
  }
  void OnAnchor(const YAML::Mark& mark, const std::string&) override { RefuseAnchor(mark); }
  void OnScalar(const YAML::Mark& mark,
                const std::string& tag,
                YAML::anchor_t anchor,
                const std::string& value) override {
    if (AwaitsKey()) {
      if (anchor != YAML::NullAnchor) RefuseAnchor(mark);
      Count(mark);
      open_.back()->keys.push_back(value);
      open_.back()->key_places.push_back(PlaceOf(mark));
      return;
    }
    YamlNode& node = Add(YamlNode::Kind::kText, mark, tag, anchor);
    node.text = value;
    node.quoted = tag == "!";
  }
  void OnSequenceStart(const YAML::Mark& mark,
                       const std::string& tag,
                       YAML::anchor_t anchor,
                       YAML::EmitterStyle::value) override {
    Open(Add(YamlNode::Kind::kList, mark, tag, anchor));
  }
  void OnSequenceEnd() override { open_.pop_back(); }
  void OnMapStart(const YAML::Mark& mark,
                  const std::string& tag,
                  YAML::anchor_t anchor,
                  YAML::EmitterStyle::value) override {
    Open(Add(YamlNode::Kind::kMap, mark, tag, anchor));
  }
  void OnMapEnd() override { open_.pop_back(); }

 private:
  [[noreturn]] static void RefuseAnchor(const YAML::Mark& mark) {
    throw Refused{PlaceOf(mark), "an anchor (&name) has no place in this file",
                  "write the value out where it is needed"};
  }

  bool AwaitsKey() const {
    return !open_.empty() && open_.back()->kind == YamlNode::Kind::kMap &&
           open_.back()->keys.size() == open_.back()->items.size();
  }

  void Count(const YAML::Mark& mark) {
    if (++nodes_ > limits_.max_nodes) {
      throw Refused{PlaceOf(mark), fmt::format("the file holds more than {} values", limits_.max_nodes), ""};
    }
  }

  YamlNode& Add(YamlNode::Kind kind,
                const YAML::Mark& mark,
                const std::string& tag,
                YAML::anchor_t anchor) {
    if (anchor != YAML::NullAnchor) RefuseAnchor(mark);
    if (!tag.empty() && tag != "!" && tag != "?") {
      throw Refused{PlaceOf(mark), "a tag (" + tag.substr(0, 40) + ") has no place in this file",
                    "leave the tag out"};
    }
    if (AwaitsKey()) {
      throw Refused{PlaceOf(mark), "a key must be a plain word", "check for brackets and quotes that are never closed"};
    }
    Count(mark);
    if (open_.empty()) {
      root_.kind = kind;
      root_.place = PlaceOf(mark);
      return root_;
    }
    YamlNode& parent = *open_.back();
    YamlNode& node = parent.items.emplace_back();
    node.kind = kind;
    // An empty value stands where its key stands.
    const bool in_map = parent.kind == YamlNode::Kind::kMap;
    node.place = kind == YamlNode::Kind::kEmpty && in_map ? parent.key_places.back() : PlaceOf(mark);
    return node;
  }

  // A parent's list does not grow while a child is open, so the pointers hold.
  void Open(YamlNode& node) {
    if (static_cast<int>(open_.size()) >= limits_.max_depth) {
      throw Refused{node.place, fmt::format("values are nested more than {} deep", limits_.max_depth),
                    "check for brackets that are never closed"};
    }
    open_.push_back(&node);
  }

  YamlNode& root_;
  YamlLimits limits_;
  std::vector<YamlNode*> open_;
  std::size_t nodes_ = 0;
};

}  // namespace

Result<YamlNode> ParseYamlTree(const SourceText& source, const YamlLimits& limits) {
  if (source.text().size() > limits.max_bytes) {
    return source.Whole(
        fmt::format("is larger than {} MB, which no file of this kind should be", limits.max_bytes >> 20));
  }
  if (const auto bad = FirstBadCharacter(source.text())) {
    return Error{ErrorCode::kInvalidFile,
                 fmt::format("{}:{}: is not a plain text in UTF-8", source.name(), bad->line + 1),
                 "save the file as plain text (UTF-8) from a text editor"};
  }
  YamlNode root;
  try {
    std::istringstream stream(source.text());
    YAML::Parser parser(stream);
    TreeBuilder builder(root, limits);
    if (!parser.HandleNextDocument(builder) || root.kind == YamlNode::Kind::kEmpty) {
      return source.Whole("is empty");
    }
    YamlNode second;
    TreeBuilder other(second, limits);
    if (parser.HandleNextDocument(other)) {
      return source.At(second.place, "a second document (after ---) has no place in this file",
                       "keep one document to a file");
    }
  } catch (const Refused& refused) {
    return source.At(refused.place, refused.sentence, refused.hint);
  } catch (const YAML::Exception& e) {
    return source.At(PlaceOf(e.mark), "this is not YAML that can be read (" + e.msg + ")",
                     "check the brackets, quotes, colons and indentation here and just above");
  }
  return root;
}

}  // namespace truepull
