// SPDX-License-Identifier: Apache-2.0
#include "truepull/lattice.h"

#include <algorithm>

namespace truepull {

int FileColumns(const Lattice& lattice) {
  return lattice.columns * static_cast<int>(lattice.cell.size());
}

std::vector<Site> AllSites(const Lattice& lattice) {
  std::vector<Site> sites;
  for (int row = 0; row < lattice.rows; ++row) {
    for (int column = 0; column < FileColumns(lattice); ++column) sites.push_back({row, column});
  }
  return sites;
}

const CellMember& MemberAt(const Lattice& lattice, Site site) {
  return lattice.cell[static_cast<std::size_t>(site.column) % lattice.cell.size()];
}

Pose IdealPose(const Lattice& lattice, Site site) {
  const int column = site.column / static_cast<int>(lattice.cell.size());
  const CellMember& member = MemberAt(lattice, site);
  Point at = lattice.origin + static_cast<double>(column) * lattice.across +
             static_cast<double>(site.row) * lattice.down + member.at;
  if (site.row % 2 != 0) at = at + lattice.stagger_rows * lattice.across;
  if (column % 2 != 0) at = at + lattice.stagger_columns * lattice.down;
  const double turn = lattice.turns_rad[static_cast<std::size_t>(column) % lattice.turns_rad.size()];
  return {at, WrapTurn(turn + member.turn_rad)};
}

Point LatticeCentre(const Lattice& lattice) {
  Point sum;
  const std::vector<Site> sites = AllSites(lattice);
  for (const Site site : sites) sum = sum + IdealPose(lattice, site).at;
  return (1.0 / static_cast<double>(std::max<std::size_t>(1, sites.size()))) * sum;
}

std::string SiteLabel(Site site) {
  std::string letters;
  for (int n = site.row + 1; n > 0; n = (n - 1) / 26) {
    letters.insert(letters.begin(), static_cast<char>('A' + (n - 1) % 26));
  }
  return letters + std::to_string(site.column + 1);
}

}  // namespace truepull
