// SPDX-License-Identifier: Apache-2.0
// Renders the photo of an imagined hand-pulled sheet, with the truth known.
//
// The sheet is drawn in linear light, straight into the photo's pixels through the true
// camera; each fault has its own option and every option is off by default, so that the
// default is a flat, evenly lit sheet, every tile at its ideal place, seen square on.
// All chance comes from `seed` alone: the same options give the same bytes, whatever the
// number of threads. Switching one fault on does not change the chance of another.
#ifndef TRUEPULL_RENDER_H_
#define TRUEPULL_RENDER_H_

#include <array>
#include <cstdint>
#include <opencv2/core/mat.hpp>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "truepull/camera.h"
#include "truepull/plan.h"
#include "truepull/result.h"
#include "truepull/tile_reading.h"

namespace truepull {

/// The hand that places the plate.
struct HandFaults {
  double sd_shift_mm = 0;      // Chance, per axis.
  double sd_turn_rad = 0;
  Point habit_shift_mm;        // The same at every site.
  double habit_turn_rad = 0;
  double creep_per_column_mm = 0;  // Added per step, along `across` ...
  double creep_per_row_mm = 0;     // ... and along `down`.
};

/// The sheet's own part: at = c + shift + R(turn) (I + E) (ideal - c).
struct SheetFaults {
  Point shift_mm;
  double turn_rad = 0;
  double stretch_along_percent = 0;   // Along the grain (x when the grain is unknown).
  double stretch_across_percent = 0;
  bool stretch_after_printing = false;  // The outlines grew too (paper dried or swelled).
};

/// What happens at one site beyond chance.
struct SiteFault {
  Site site;
  bool missing = false;
  bool weak = false;
  bool ghost = false;
  bool mirrored = false;       // Printed from the back: the mirror image.
  Point shift_mm;              // Added to the true place.
  double turn_rad = 0;         // Added to the true turn (pi: upside down).
};

/// A row printed off along `across`, or a column along `down`, by so many steps.
struct ShiftedLine {
  bool column = false;
  int index = 0;               // As files count them.
  double steps = 0.5;          // Below 0: to the left, or up.
};

enum class InkLook { kCrayon, kRelief };
enum class Motif { kNone, kGull, kWave, kAnchor, kBoat };

/// How the pulls look.
struct InkFaults {
  InkLook look = InkLook::kCrayon;
  double mottle = 0;           // 0..1: streaks of the strokes and the paper's tooth.
  double ragged_mm = 0;        // Spread of the edge about the outline.
  double fade = 0;             // 0..1: how often and how far edges fade out.
  double edge_ring_mm = 0;     // Width of the band in plan.edge_colour; usual 2.
  double strength_sd = 0;      // Spread of the deposit from pull to pull, share of 1.
  Motif motif = Motif::kNone;  // Drawing scratched into the charge; plates take turns. Where the
                               // plan's plates have drawings of their own, any motif means those.
  double dark_lines_share = 0; // Share of pulls whose drawing prints dark, not white.
  bool carved = false;         // Lines cut into the plate: the same, crisp, on every pull.
  double rim = 0;              // 0..1: ink squeezed to a darker rim (relief).
  double speckle = 0;          // 0..1: small bare spots (relief).
  double bleed_mm = 0;         // Reach of the wet halo outside the edge.
  double ghost_share = 0;      // Chance that a pull is a ghost (paler, second pull).
  double weak_share = 0;
  double missing_share = 0;
};

/// The paper and what is on it.
struct PaperFaults {
  double texture = 0;          // 0..1: visible grain and cloudiness.
  double cockle_mm = 0;        // Standard deviation of the paper's height.
  double deckle_mm = 0;        // Waviness of hand-torn sides.
  int dog_ear_corner = -1;     // 0..3 from the top left, clockwise; -1 none.
  double dog_ear_mm = 14;      // Length of the folded side.
  int finger_marks = 0;
  int pencil_lines = 0;
  int tapes = 0;               // Strips of tape over the sides, 0..4.
  // The crosses of `next --marks` in the margin (truepull/marker_cards.h), in pencil.
  double margin_marks = 0;     // 0..1: how dark; 0 none, a soft pencil 0.6, print 1.
  double margin_marks_sd_mm = 0;              // Spread of their places, each way.
  std::array<Point, 4> margin_marks_shift{};  // Added besides, mm; a mark shifted off the sheet is missing.
  bool margin_ring = true;     // The first has its ring.
};

enum class TableLook { kPlain, kWood, kCheck, kStone };

struct TableFaults {
  TableLook look = TableLook::kPlain;
  int clutter = 0;             // Discs, strips, crayons lying about.
  bool second_sheet = false;   // Another sheet of the same edition beside this one.
  bool no_sheet = false;       // The table alone.
  int card = 0;                // A sheet card of this number to the right of the sheet; 0 none.
  int card_pass = 1;           // The pass that it shows.
};

struct LightFaults {
  double uneven = 0;           // 0..1: fall-off across the picture, share of the light.
  double shadow = 0;           // 0..1: depth of a soft shadow that lies over the sheet.
  double warmth = 0;           // -1..1: towards lamplight (> 0) or a blue sky (< 0).
  double sheet_shadow = 0;     // 0..1: the sheet's own narrow shadow on the table.
};

struct CameraFaults {
  double tilt_rad = 0;             // Between the optical axis and the sheet's normal.
  double tilt_towards_rad = 0;     // Direction of the far side, clockwise from right.
  double roll_rad = 0;
  int quarter_turns = 0;           // Sheet lies turned, clockwise, 0..3.
  Point offset;                    // Sheet's middle off the picture's, share of its size.
  double fill = 0.84;              // Share of the picture that the sheet takes up.
  double focal_share = 0.78;       // Focal length / longer side; phones 0.70-0.85.
  double k1 = 0, k2 = 0;           // Radial distortion, as in SheetCamera.
  double vignetting = 0;           // 0..1: loss of light in the corners.
  double blur_px = 0;              // Gaussian sigma.
  double motion_px = 0;            // Length of the smear ...
  double motion_towards_rad = 0;   // ... and its direction.
  double noise = 0;                // Sensor noise: sd at white, share of white.
};

/// Another pass over given places, one for each of AllSites (absent = not pulled).
struct LaterPass {
  std::vector<std::optional<Pose>> places;
  std::string colour = "#203050";
  double strength = 1;             // Deposit of the full pull; below 1 lets more through.
  Outline outline;                 // Empty: each site's own.
  double hiding = 0;               // Share of what lies beneath that a full pull hides; 0: glass-clear.
  double sd_shift_mm = 0;          // The hand's, about `places`.
  double sd_turn_rad = 0;
  // By how much the sheet was larger when the pass was pulled than it is in the photo (damp paper
  // that has dried since), per cent; places and plate are as of then, the picture and truth of now.
  double growth_x_percent = 0, growth_y_percent = 0;
};

struct RenderOptions {
  std::uint64_t seed = 1;
  int threads = 0;                 // 0: as many as the machine has.
  int width_px = 4000, height_px = 3000;   // The upright picture: 12 megapixels.
  int samples = 2;                 // Samples across a pixel where ink or edges are.
  HandFaults hand;
  SheetFaults sheet;
  InkFaults ink;
  PaperFaults paper;
  TableFaults table;
  LightFaults light;
  CameraFaults camera;
  double plate_scale = 1;          // Plates cut to another size than the plan says.
  int half_step_row = -1;          // A row printed half a step too far right; -1 none.
  std::vector<SiteFault> site_faults;
  std::vector<LaterPass> later_passes;     // In the order in which they were pulled.
  std::vector<ShiftedLine> shifted_lines;
  Outline plate_outline;           // What the plates really are; empty: as the plan says.
  double cut_mm = 0;               // The side that faces `cut_towards_rad` (clockwise from
  double cut_towards_rad = 0;      // right, in the tile's frame) was cut so much short.
  std::vector<Pose> extra_pulls;   // Pulls beyond the plan's sites; no truth is given.

  /// Says which option cannot be what it is. Sites are checked against the plan by
  /// RenderSheet.
  Status Validate() const;
};

/// Sensible sets of faults: "easy", "typical" or "hard"; the kind of table, the camera's
/// stand and the drawing follow from the seed. Fails with kBadArgument for other names.
Result<RenderOptions> OptionsLike(std::string_view name, std::uint64_t seed);

/// What is true of one site, on the flat sheet in the state photographed.
struct TruthRow {
  Site site;
  SiteState state = SiteState::kMissing;
  Pose pose;                  // Absolute; holds only when not missing.
  double coverage = 0;        // Share of the outline's area with deposit over 0.25.
  double deposit = 0;         // Mean deposit over the outline, in full pulls.
  int colour = -1;            // Index into the plan's colours; -1 where it has none.
  std::string colour_hex;     // Body colour, "#rrggbb".
  bool ghost = false;
  friend bool operator==(const TruthRow&, const TruthRow&) = default;
};

struct RenderedSheet {
  cv::Mat bgr;                         // Upright, CV_8UC3, sRGB.
  std::vector<TruthRow> truth;         // Every site of the plan, in order.
  std::vector<std::vector<TruthRow>> later_truth;  // One for each later pass.
  SheetCamera camera;                  // The true one (of the flat sheet).
};

/// Renders a plan. Fails with kBadArgument (an option, or a site that the plan does not
/// have).
///
/// Geometry: the position of an edge in the picture is true to 0.01 mm on the sheet
/// (RenderGeometry.* in tests/render; the largest found there is 0.0011 mm on flat paper
/// and 0.006 mm on cockled paper, where the measuring itself is rougher).
Result<RenderedSheet> RenderSheet(const Plan& plan, const RenderOptions& options);

/// The bytes of a JPEG whose upright picture is `bgr`. orientation 1..8 stores the pixels
/// turned and says so in the EXIF tag; the file holds no other EXIF field.
Result<std::string> EncodePhotoJpeg(const cv::Mat& bgr, int quality, int orientation);

}  // namespace truepull

#endif  // TRUEPULL_RENDER_H_
