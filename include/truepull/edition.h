// SPDX-License-Identifier: Apache-2.0
// Many sheets together: what is the sheet's, the plate's, the block's, the hand's, the
// paper's and the photo's; what changed along the run; which sheets belong together.
//
// Everything here works on readings. It judges sheets, never people: no marks, no order of
// merit; what lies within its own uncertainty is not said.
#ifndef TRUEPULL_EDITION_H_
#define TRUEPULL_EDITION_H_

#include <array>
#include <optional>
#include <string>
#include <vector>

#include "truepull/drift.h"
#include "truepull/run_chart.h"
#include "truepull/shift_test.h"
#include "truepull/tile_reading.h"

namespace truepull {

/// What a review goes by; edition.yaml may set each of these.
struct ReviewThresholds {
  double fine_mm = 0.5;        // Careful work by hand, and ...
  double good_mm = 1.0;        // ... good school work: common practice, no standard.
  double least_mm = 0.1;       // Smaller faults and habits are not worth a word: a fifth of
                               // what a careful hand can place.
  double level = 0.01;         // Chance of a false alarm of each check on a faultless edition.
  double blur_mm = 0.5;        // Spread of an edge from which a photo is called blurred.
  double unsure_mm = 0.35;     // Median uncertainty from which a photo is too poor to judge.
  double tilt = 1.6;           // Ratio of scales over the sheet from which it is called tilted.
  double glare = 0.005;        // Share of the sheet burnt out by light from which it is called glare:
                               // half of a tile's area on a sheet of 100.
  double weak_share = 0.25;    // Share of weak pulls that makes a weak sheet.
};

struct EditionPaper {
  std::string name;
  Grain grain = Grain::kUnknown;
  std::optional<double> stretch_along_percent, stretch_across_percent;
};

/// What the printer decided about a sheet; the program decides nothing.
enum class Decision { kOpen, kEdition, kArtistsProof, kReject };
const char* NameOf(Decision decision);  // "open", "edition", "artist's proof", "reject".

/// One sheet of one pass as it goes into a review.
struct EditionSheet {
  std::string code;            // What stands for the sheet; never a name.
  std::string photo;           // File name, for tables.
  std::string pass = "first";
  int order = 0;               // Place in the order of printing, from 1.
  std::string paper;           // Name of an EditionPaper; empty: not said.
  std::string whose;           // Code of the person; empty: not said.
  Decision decision = Decision::kOpen;
  std::string number, date, note;
  double blur_mm = 0;          // Measured in the photo; 0: not known.
  double burnt_out = 0;        // Share of the sheet that glare burnt out in the photo.
  Reading reading;
};

struct EditionSettings {
  ReviewThresholds thresholds;
  std::vector<EditionPaper> papers;
  std::string title;
  std::string proof;           // Code of the approved proof; empty: none.
  int wanted = 0;              // Sheets wanted for the edition.
  double weight_register = 1, weight_colour = 1, weight_coverage = 1;
  bool free_register = false;  // Register is free on purpose: nothing is judged.
};

/// What a drift is most likely owed to.
enum class Cause { kNone, kHand, kStop, kPlate, kBlock, kPaper, kCreep, kPaperOrCreep, kPhoto };
const char* NameOf(Cause cause);  // "none", "hand", "stop", "plate", ..., "paper or creep", "photo".

enum class HabitKind {
  kShift, kTurn, kTileTurn, kTurnAcross, kTurnDown, kGrowColumns, kGrowRows, kScatter, kScatterTrend, kPlate,
  kBlock
};

/// One thing that a sheet shows beyond chance.
struct Habit {
  HabitKind kind = HabitKind::kShift;
  Cause cause = Cause::kHand;
  double size_mm = 0;          // How far it moves tiles (or their rim): what habits are sorted by.
  double p = 1;                // Chance of so much without a habit.
  std::string finding;         // "tiles creep 0.6 mm to the right each step".
  std::string advice;          // One thing to do.
};

/// A fault of the photo rather than of the print.
struct PhotoFault {
  bool found = false;
  bool too_poor = false;       // Too poor to judge the sheet by.
  std::vector<std::string> reasons;
};

struct SheetReview {
  DriftReport drift;           // Of the reading as it is.
  ShiftTest shift_test;        // One test on (x, y), about the middle of the plan.
  bool shifted = false;        // Passed at the level, and worth a word.
  // The stretch in per cent, as ratios; x and y where the grain is not known.
  double stretch_along = 0, stretch_across = 0, sd_stretch_along = 0, sd_stretch_across = 0;
  bool has_stretch_along = false, has_stretch_across = false;
  // What each step gains beyond the plan, along the step, whatever its cause.
  double creep_column_mm = 0, creep_row_mm = 0, sd_creep_column_mm = 0, sd_creep_row_mm = 0;
  bool has_creep_column = false, has_creep_row = false;
  Cause growth = Cause::kNone; // kPaper, kCreep, kPaperOrCreep where tiles stand too far apart.
  // The hand's spread per axis when sheet, plate and block are taken out; robust.
  double hand_sd_mm = 0, sd_hand_sd_mm = 0, hand_sd_turn_rad = 0;
  bool has_hand_sd = false;
  double density = 0;          // Mean optical density of the bodies; 0: not known.
  double coverage = 0;         // Mean.
  bool weak = false;           // The sheet as a whole prints weakly.
  PhotoFault photo;
  std::vector<Habit> habits;   // Largest first.
  Cause cause = Cause::kNone;  // Of the main habit; kPhoto when the photo is too poor.
  std::string main_habit;      // "none found" where there is none.
  std::string confidence;      // "sure", "likely", "cannot tell".
  std::string better;          // What got better since an earlier sheet, or what is good.
  std::vector<std::string> look;  // Why someone should look at this one.
  std::string beyond;          // Sites beyond the plan's tolerance by hand, in words.
  int plan_group = 0;          // Sheets that were read by one plan share a number.
  // How this pass sits on the first one of the same sheet, where both were read.
  bool has_register = false;
  Point register_shift;        // Mean, mm.
  double register_sd_mm = 0;   // Spread about it, per axis.
  // The sheet's values when the faults of plate and block are taken out.
  std::vector<SiteDrift> hand; // hand_shift holds what is left to the hand.
};

/// A side of the tile that the plate prints too short or too long.
struct SideFault {
  std::string side;            // As the tile stands upright on paper: "right", "top left".
  double out_mm = 0;           // Beyond the plan's outline; below 0 it is short.
  double sd_mm = 0;
};
/// What repeats at every site and turns with the tile.
struct PlateFault {
  std::string plate;
  std::string whose;           // Whose sheets (or which sheet) it concerns; empty: all.
  int plan_group = 0;
  bool told_apart = false;     // The tiles stand in several turns, so it can be told from shift.
  Point bias;                  // Of the found place in the tile's frame, mm.
  double sd_bias_mm = 0;
  ShiftTest test;
  bool found = false;
  bool by_edges = false;       // The readings hold edges, so that sides can be told.
  std::vector<SideFault> sides;  // Faulty ones, largest first.
  std::string words;
};
/// What repeats at one site of every sheet.
struct BlockFault {
  Site site;
  Point shift;                 // mm.
  double sd_mm = 0;
  double p = 1;                // Corrected for having looked at all sites.
  int sheets = 0;
  int plan_group = 0;
};

/// How far apart tiles stand, over the sheets of one paper.
struct Growth {
  std::string paper;
  std::string group;           // Paper, pass and plan in words; empty where there is one group only.
  int sheets = 0;              // That show it.
  double x = 0, y = 0, sd_x = 0, sd_y = 0;  // Mean stretch, ratios.
  Cause cause = Cause::kNone;
  std::vector<std::string> evidence;
};

/// Mean square of each part of the drift over all sites and sheets, as r.m.s. in mm.
struct Component {
  const char* name = "";
  double rms_mm = 0;
  double sd_mm = 0;            // From the scatter between sheets; 0 with one sheet.
};

struct RunSeries {
  std::string name, unit;
  std::string group;           // As Growth::group.
  std::string paper;           // Sheets of one plan, pass and paper only.
  std::vector<int> orders;     // Place in the order of printing of each value.
  RunChart chart;              // In the order of printing.
  std::vector<RunSignal> signals;
  bool too_few = true;
};
struct EditionStep {
  StepChange step;             // Indices into `sheets` as ordered by printing.
  std::string paper;
  int after_order = 0, next_order = 0;
  std::string words;
};

/// One sheet beside the approved proof.
struct Likeness {
  std::size_t sheet = 0;       // Index into `sheets`.
  double distance = 0, sd = 0; // Weighed, in units of the thresholds.
  double register_mm = 0;      // R.m.s. distance of its tiles from the proof's.
  double colour = 0;           // CIEDE2000 from the proof's, mean over the plan's colours.
  double coverage = 0;
  int tie = 0;                 // Sheets of one number cannot be told apart.
  std::string apart;           // What sets it apart; empty when nothing does.
};

struct EditionReview {
  EditionSettings settings;
  std::vector<EditionSheet> sheets;    // By order of printing.
  std::vector<SheetReview> reviews;    // One for each.
  std::vector<PlateFault> plates;
  std::vector<BlockFault> blocks;
  bool blocks_looked_for = false;      // At least three sheets.
  std::vector<Growth> growths;
  std::vector<Component> components;
  std::vector<RunSeries> series;       // What changed from sheet to sheet, as single values.
  std::vector<RunSeries> ranges;       // Their moving ranges; mean and range over the sites of a sheet.
  std::vector<EditionStep> steps;
  bool steps_looked_for = false;       // At least six sheets.
  std::vector<Likeness> likeness;      // By likeness to the proof; empty without one.
  std::vector<std::string> common_habits;  // At most three, commonest first.
  std::vector<std::string> findings;   // What concerns the whole edition.
  bool needs_a_look = false;
};

/// Reviews sheets. They are sorted by `order`, then code; plates and blocks are sought among
/// sheets of one plan and pass, growth among those of one paper, jumps among those of one
/// plan, pass and paper. Chances are exact for normal errors of the hand that are alike over
/// a sheet; each check's rate of false alarms is `thresholds.level` for the whole edition.
EditionReview ReviewEdition(std::vector<EditionSheet> sheets, const EditionSettings& settings);

}  // namespace truepull

#endif  // TRUEPULL_EDITION_H_
