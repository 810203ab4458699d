// SPDX-License-Identifier: Apache-2.0
#include "detect/odd_words.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <map>

namespace truepull::detect {

std::vector<std::string> OddTileWords(const std::vector<OddTile>& odd, const std::vector<Site>& sites) {
  std::map<std::string, std::vector<std::string>> by_way;
  for (const OddTile& o : odd) by_way[o.way.Words()].push_back(SiteLabel(sites[o.site]));
  std::vector<std::string> out;
  for (const auto& [way, labels] : by_way) {
    out.push_back(fmt::format("{} {} printed {}", fmt::join(labels, ", "), labels.size() > 1 ? "were" : "was", way));
  }
  return out;
}

std::string WayUpWords(const WayUp& way, Point up_in_photo) {
  if (way.quarters == 0) return "";
  const char* by = way.by == WayUp::By::kOutline   ? "the tiles' outline says"
                   : way.by == WayUp::By::kMargins ? "the margins say"
                                                   : "the colours say";
  const bool level = std::abs(up_in_photo.x) > std::abs(up_in_photo.y);
  const char* top = level ? (up_in_photo.x > 0 ? "on the right" : "on the left") : up_in_photo.y > 0 ? "at the bottom" : "at the top";
  return fmt::format("the sheet lies {} in the picture: {} that its top is {} of the picture; it was measured with that side as its top",
                     level ? "on its side" : "upside down", by, top);
}

std::string LeftOverWords(const LeftOverPull& pull) {
  return fmt::format("a pull that belongs to no site is left over: its reference point lies about {:.0f} mm from the left and {:.0f} mm from the top",
                     pull.found.at.x, pull.found.at.y);
}

std::vector<std::string> PlateWords(const PlateReading& plate, const Plan& plan, const LatticeSize& lattice) {
  std::vector<std::string> out;
  const std::string name = plan.plates.size() > 1 ? " of plate " + plate.plate : std::string();
  if (plate.size != 1) {
    const Plate* planned = &plan.plates.front();
    for (const Plate& p : plan.plates) {
      if (p.name == plate.plate) planned = &p;
    }
    const Box box = BoundingBox(planned->outline);
    std::string words = fmt::format("the tiles{} are {:.1f} % {} than the plan's (+- {:.1f} %): about {:.1f} x {:.1f} mm instead of {:.1f} x {:.1f} mm",
                                    name, 100 * std::abs(plate.size - 1), plate.size > 1 ? "larger" : "smaller",
                                    100 * plate.sd_size, plate.size * box.Width(), plate.size * box.Height(), box.Width(), box.Height());
    // As much as the tiles, as far as can be told, and clearly otherwise than planned.
    const double room = 2.5 * std::hypot(plate.sd_size, lattice.sd);
    if (std::abs(lattice.ratio - plate.size) < room && std::abs(lattice.ratio - 1) > std::max(room, 0.5 * std::abs(plate.size - 1))) {
      words += fmt::format("; they stand as much {} too: the sheet's size in the plan is not this sheet's, or the paper moved after printing",
                           plate.size > 1 ? "further apart" : "closer");
    } else {
      words += "; they were measured with that size";
    }
    out.push_back(words);
  }
  for (const PlateSide& s : plate.sides) {
    out.push_back(fmt::format("the plate{} is not as the plan has it: its {} side (as printed) is {:.2f} mm {} (+- {:.2f} mm, over {:.0f} mm of "
                              "edge); it was measured with its true outline",
                              name.empty() ? "" : " " + plate.plate, s.side, std::abs(s.mm), s.mm < 0 ? "short" : "too far out",
                              s.sd_mm, s.length_mm));
  }
  return out;
}

std::string PrintsWords(const Plan& plan, std::size_t k, double prints) {
  return fmt::format("a good pull{} covers {:.0f} % of its outline, measured on this sheet; weak is told from that",
                     plan.plates.size() > 1 ? " of plate " + plan.plates[k].name : "", 100 * prints);
}

std::string UnexplainedWords(const std::vector<std::string>& sites) {
  return fmt::format("the edge of {} is not where the plan's outline would have it, at any place or turn that was tried: look at it yourself", fmt::join(sites, ", "));
}

std::string FewPrintedWords(std::size_t printed, std::size_t all) {
  if (printed == 0) return all == 1 ? "nothing is printed on this sheet: the one site is missing"
                                    : fmt::format("nothing is printed on this sheet: all {} sites are missing", all);
  // A careless evening leaves out one in eight; half is another kind of sheet.
  if (all < 4 || 5 * printed > 3 * all) return "";
  return fmt::format("only {} of the {} sites {} printed", printed, all, printed == 1 ? "is" : "are");
}

}  // namespace truepull::detect
