// SPDX-License-Identifier: Apache-2.0
// The ideal places of the tiles: an origin, a step across and a step down.
#ifndef TRUEPULL_LATTICE_H_
#define TRUEPULL_LATTICE_H_

#include <string>
#include <vector>

#include "truepull/geometry.h"

namespace truepull {

/// A place of the lattice. Row and column count from 0; with k members in a cell the
/// column is (lattice column) * k + member.
struct Site {
  int row = 0;
  int column = 0;
  friend bool operator==(const Site&, const Site&) = default;
  friend auto operator<=>(const Site&, const Site&) = default;
};

/// What stands in each cell of the lattice.
struct CellMember {
  int plate = 0;  // Index into Plan::plates.
  Point at;       // mm, added to the cell's place.
  double turn_rad = 0;
  bool mirrored = false;  // Printed from the plate's mirror image.
};

struct Lattice {
  Point origin;  // Ideal place of site (0, 0)'s reference point, sheet mm.
  Point across;  // Step from column c to c + 1, mm.
  Point down;    // Step from row r to r + 1, mm.
  int rows = 1;
  int columns = 1;                      // Lattice columns, not file columns.
  std::vector<double> turns_rad{0.0};   // turns[c mod n], begun anew in each row.
  double stagger_rows = 0;              // Share of `across` added in odd rows.
  double stagger_columns = 0;           // Share of `down` added in odd columns.
  std::vector<CellMember> cell{CellMember{}};  // One or more.

  // What `origin: fit` and its like leave to be found from the print.
  bool fit_origin = false;
  bool fit_turn = false;
  bool fit_rows = false;
  bool fit_columns = false;
};

/// Columns as files count them: lattice columns times members of a cell.
int FileColumns(const Lattice& lattice);

/// Every site, row by row, then by column.
std::vector<Site> AllSites(const Lattice& lattice);

/// The cell member that stands at a site.
const CellMember& MemberAt(const Lattice& lattice, Site site);

/// ideal(r, c) = origin + c across + r down + (r mod 2) stagger.rows across
///               + (c mod 2) stagger.columns down (+ the member's `at`);
/// turn = turns[c mod n] + the member's turn, wrapped.
Pose IdealPose(const Lattice& lattice, Site site);

/// Mean of all ideal positions: the centre c of the sheet's own part of the drift.
Point LatticeCentre(const Lattice& lattice);

/// Label for people: row letter and column number from 1, e.g. {2, 0} -> "C1";
/// after Z come AA, AB, ...
std::string SiteLabel(Site site);

}  // namespace truepull

#endif  // TRUEPULL_LATTICE_H_
