// SPDX-License-Identifier: Apache-2.0
// A small right plan as text, and ways to spoil one line of it.
#ifndef TRUEPULL_TESTS_SUPPORT_HARBOUR_PLAN_H_
#define TRUEPULL_TESTS_SUPPORT_HARBOUR_PLAN_H_

#include <stdexcept>
#include <string>

namespace truepull::testing {

/// 5 x 6 rectangles of 60 x 45 mm, edge to edge on A3.
inline const std::string kHarbourPlan =
    "truepull: 1\n"                                            // Line 1.
    "title: Harbour gulls\n"                                   // 2
    "sheet:\n"                                                 // 3
    "  width: 420\n"                                           // 4
    "  height: 297\n"                                          // 5
    "tile:\n"                                                  // 6
    "  outline: [[0, 0], [60, 0], [60, 45], [0, 45]]\n"        // 7
    "lattice:\n"                                               // 8
    "  origin: [30, 24]\n"                                     // 9
    "  across: [60, 0]\n"                                      // 10
    "  down: [0, 45]\n"                                        // 11
    "  rows: 5\n"                                              // 12
    "  columns: 6\n"                                           // 13
    "edge_colour: \"#5a3a20\"\n"                               // 14
    "colours: [\"#3a62a8\", \"#7b4fa0\"]\n"                    // 15
    "colour_map: [[0, 1, 0, 1, 0, 1]]\n"                       // 16
    "tolerance: {shift: 1.5, turn: 2}\n"                       // 17
    "passes:\n"                                                // 18
    "  - {name: dark, colour: \"#203050\", kind: layer}\n";    // 19

/// The text with its first `from` replaced; a test that spoils nothing must not pass.
inline std::string With(const std::string& from, const std::string& to, std::string text = kHarbourPlan) {
  const auto at = text.find(from);
  if (at == std::string::npos) throw std::logic_error("the plan does not hold: " + from);
  return text.replace(at, from.size(), to);
}

}  // namespace truepull::testing

#endif  // TRUEPULL_TESTS_SUPPORT_HARBOUR_PLAN_H_
