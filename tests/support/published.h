// SPDX-License-Identifier: Apache-2.0
// Tables of tests/published: remarks, a header, rows of numbers.
#ifndef TRUEPULL_TESTS_SUPPORT_PUBLISHED_H_
#define TRUEPULL_TESTS_SUPPORT_PUBLISHED_H_

#include <fstream>
#include <sstream>
#include <stdexcept>
#include <string>
#include <vector>

#include "support/places.h"

namespace truepull::testing {

/// The rows behind the header.
inline std::vector<std::vector<double>> PublishedRows(const std::string& name) {
  std::ifstream in(SourceFolder() + "/tests/published/" + name);
  if (!in) throw std::runtime_error("no such table: " + name);
  std::vector<std::vector<double>> rows;
  std::string line;
  bool header = true;
  while (std::getline(in, line)) {
    if (line.empty() || line[0] == '#') continue;
    if (header) {
      header = false;
      continue;
    }
    std::istringstream cells(line);
    rows.emplace_back();
    for (std::string cell; std::getline(cells, cell, ',');) rows.back().push_back(std::stod(cell));
  }
  return rows;
}

}  // namespace truepull::testing

#endif  // TRUEPULL_TESTS_SUPPORT_PUBLISHED_H_
