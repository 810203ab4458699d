// SPDX-License-Identifier: Apache-2.0
// YAML text as a plain tree that remembers places, for files that people write.
//
// Our own tree over yaml-cpp's events, not its nodes: doubled keys must be seen, and
// files from strangers must not be able to take the memory. So aliases, anchors, tags,
// deep nesting and endless lists are refused where they stand.
#ifndef TRUEPULL_IO_YAML_TREE_H_
#define TRUEPULL_IO_YAML_TREE_H_

#include <cstddef>
#include <string>
#include <vector>

#include "io/source_text.h"

namespace truepull {

struct YamlNode {
  enum class Kind { kEmpty, kText, kList, kMap };
  Kind kind = Kind::kEmpty;
  std::string text;                     // Of a kText.
  bool quoted = false;                  // "12" in quotes is a text, not a number.
  TextPlace place;
  std::vector<YamlNode> items;          // Of a kList; the values of a kMap.
  std::vector<std::string> keys;        // Of a kMap, in order; doubled ones are kept.
  std::vector<TextPlace> key_places;
};

struct YamlLimits {
  std::size_t max_bytes = std::size_t{4} << 20;  // 10 000 sites with long outlines fit.
  std::size_t max_nodes = 500000;
  int max_depth = 12;                            // Ours go 6 deep.
};

/// Reads one YAML document. Fails with kInvalidFile, naming the place.
Result<YamlNode> ParseYamlTree(const SourceText& source, const YamlLimits& limits = {});

}  // namespace truepull

#endif  // TRUEPULL_IO_YAML_TREE_H_
