// SPDX-License-Identifier: Apache-2.0
// The true-size guide: where to put the plate, as plain lists of marks in millimetres.
//
// BuildGuide makes the marks of the whole sheet. LayOutPages puts them, with the words,
// the check bars and the map of pages, on pages of paper. What draws them (draw.h) knows
// no more than lines, filled shapes and words: everything is decided here, once, so that
// PDF and SVG cannot differ.
//
// The guide's frame is the sheet's: mm, origin at the top left, x right, y down; a
// mirrored guide has x -> width - x. Words are never mirrored.
#ifndef TRUEPULL_GUIDE_H_
#define TRUEPULL_GUIDE_H_

#include <array>
#include <optional>
#include <span>
#include <string>
#include <string_view>
#include <variant>
#include <vector>

#include "truepull/geometry.h"
#include "truepull/placement.h"
#include "truepull/plan.h"
#include "truepull/result.h"

namespace truepull {

/// Two colours that weak colour vision tells apart, and greys; nothing hangs on them.
enum class Ink { kBlack, kBlue, kOrange, kGrey, kPale };
/// Broken lines carry the meaning that colour repeats.
enum class Dash { kFull, kLong, kShort, kDots };

/// What a mark is for; names the class in SVG, and lets tests find it.
enum class MarkRole {
  kSheet, kBracket, kCentre, kOutline, kFound, kTick, kLabel, kSign, kBar, kLetter,
  kCut, kJoinCross, kJoinLength, kMap, kWords, kDrawing,
  kCorner,    // A piece of an outline that stands for the whole of it.
  kMove,      // Arrow: from the first impression to where the plate goes.
  kStop,      // Where the L of card is set.
  kBody,      // The block's outer rectangle.
  kOpening,   // Cut line of a mask.
  kCard,      // The frame of a bank card.
  kPlate,     // The plate's outline, to lay the plate on.
  kLocator,   // A feature of the sheet that a page is placed by.
  kGrain, kKento,
  kMargin,    // Crosses in the sheet's margin.
  kMarker,    // Black cells of a printed marker.
};
const char* NameOf(MarkRole role);  // "sheet", "bracket", ...

/// A line through points, or a filled shape.
struct PathMark {
  std::vector<Point> points;
  bool closed = false;
  bool filled = false;      // Filled with `ink`, no line round it.
  Ink ink = Ink::kBlack;
  double width_mm = 0.3;    // The middle of the line is where it is.
  Dash dash = Dash::kFull;
  std::string colour;       // "#rrggbb" instead of the ink: a printing colour shown as it is.
};

enum class Anchor { kStart, kMiddle, kEnd };

/// One line of words.
struct TextMark {
  std::string text;         // UTF-8.
  Point at;                 // The anchor on the base line.
  double cap_mm = 2.6;      // Height of a capital.
  Anchor anchor = Anchor::kStart;
  bool bold = false;
  int quarter_turns = 0;    // Clockwise.
  Ink ink = Ink::kBlack;
};

struct Mark {
  MarkRole role = MarkRole::kWords;
  std::string group;        // Marks of one site share "site-R-C" (file numbers).
  std::variant<PathMark, TextMark> what;
  /// Kept in SVG (without a stroke) and in the list for machines, never painted: the
  /// whole outline of a site that only corner pieces are drawn of.
  bool hidden = false;
};

/// Width that a line of words takes at most, mm: a bound for the sans faces the drawing
/// asks for (draw's tests hold it against the real ones).
double TextWidth(std::string_view text, double cap_mm, bool bold);

/// The box that a line of words fills at most (capitals and descenders).
Box TextBox(const TextMark& text);

/// One register tick: it begins on the outline and runs straight away from it.
struct SiteTick {
  Site site;
  Point point_in_tile;      // The outline point it belongs to, tile frame, mm.
  Point from;               // That point on the guide.
  Point to;                 // 6.5 mm outside.
};

/// What the guide says about itself besides its marks.
struct GuideWords {
  std::string title;
  std::string pass;                       // "pass: dark; sheet: gulls-07".
  std::string face;                       // "SEEN FROM THE PRINTED FACE" or "MIRRORED:".
  std::string face_detail;                // Where that belongs.
  std::string state;                      // "FOR THE SHEET DAMP", "NOT CORRECTED ...".
  std::vector<std::string> state_detail;  // Sentences.
  std::vector<std::string> sites;         // Sites that are not simply pulled, in words.
  std::vector<std::string> cautions;      // Three lines.
  std::string use;                        // "UNDER THE SHEET, ..."; empty for kGeneral.
  std::vector<std::string> steps;         // Numbered on the page.
  std::vector<std::string> seams;         // Gaps and overlaps that remain.
  std::vector<std::string> card;          // Check of the printer: what was corrected.
  std::vector<std::string> plates;        // Plates that fit the wrong way too: either face, turned.
};

/// How the guide is used: it decides which way round it is drawn, how wide its lines are
/// and which edge of them is the aim, and the steps printed on it.
enum class GuideUse {
  kGeneral,    // As `mirror` says: what the others do not cover.
  kUnder,      // On a light table under the sheet.
  kOver,       // Clear film over the sheet, hinged.
  kPlateFace,  // Beneath the clear plate, its printing face up.
  kPlateBack,  // Beneath the clear plate, seen through its back.
  kBack,       // Sheet face down, or lowered onto a fixed plate.
  kChart,      // Beside the work; not to size.
  kMask,       // Cut openings.
  kStops,      // Two stop points per site for opaque blocks.
  kBoard,      // A registration board for the sheet itself (register_pages.h).
  kFrame,      // A frame of markers round one sheet (register_pages.h).
  kFixed,      // A plate fixed face up, the sheet lowered onto it (fixed_plate.h).
};
enum class LineAim { kMiddle, kInnerEdge };
struct UseLook {
  const char* name;         // As typed after --use; "" for kGeneral.
  const char* heading;      // "UNDER THE SHEET, on a light table".
  const char* belongs;      // Where a page of this face belongs, after the face in words.
  bool mirrored;
  double line_mm;           // Of the target's line.
  LineAim aim;
  bool shows_found;         // Thin broken first impressions.
  bool shows_stops;
  bool laid_on_sheet;       // Its pages lie on or under the sheet, so they are placed by it.
};
const UseLook& UseLookOf(GuideUse use);
/// The steps of a use, one sentence each, in the order they are done.
std::vector<std::string> StepsOf(GuideUse use);

/// What is done where two lines would be nearer than 1.5 mm: only corner pieces and ticks
/// are drawn, or touching sites go onto different pages.
enum class Touching { kCorners, kPages };

struct GuideRequest {
  const Pass* pass = nullptr;             // Null: the first pass, or a plan without one.
  std::string pass_name;                  // For people; empty: "first" or "next".
  PullState state;                        // Sheet size at the pull, and what is known.
  bool mirror = false;                    // x -> sheet width - x; kGeneral only.
  bool first_pass = false;                // Places are the plan's own.
  std::string sheet_name;                 // Name of the photo or reading; may be empty.
  std::string date;                       // Only when given.
  /// Where the first impressions are (one per placement; empty, or absent where none):
  /// drawn as thin grey broken lines where they differ from the target.
  std::vector<std::optional<Pose>> first_impressions;
  GuideUse use = GuideUse::kGeneral;
  Touching touching = Touching::kCorners;
  std::vector<int> pull_numbers;          // One per placement, 0 = none; empty: the placements' order.
  int pass_number = 0;                    // 1 for the first; 0: not said.
  std::string colour_word;                // "dark blue"; may be empty.
  double mask_clearance_mm = 0.5;         // Of an opening round the plate.
  bool left_handed = false;               // The L of card lies at the lower left.
  bool margin_marks = false;              // Crosses in the sheet's margin, to be printed.
  bool margin_marks_there = false;        // The sheet has them.
  bool finish = false;                    // The rest of a pass that is partly printed.
  std::string printer_note;               // What the page was corrected by; may be empty.
};

/// A feature of the sheet that a page can be placed by.
struct Locator {
  Point at;                               // On the guide.
  std::string name;                       // "the lower right corner of impression A1".
};

struct Guide {
  double width_mm = 0, height_mm = 0;     // The sheet at the pull.
  bool mirrored = false;
  std::vector<Mark> marks;                // Of the whole sheet, in its frame.
  std::vector<SiteTick> ticks;            // Two for each site that is not left alone.
  GuideWords words;
  GuideUse use = GuideUse::kGeneral;
  std::vector<Box> site_boxes;            // With ticks, one per placement drawn.
  std::vector<Site> sites;                // Those drawn.
  std::vector<Locator> locators;
  std::vector<Locator> in_openings;       // Masks: first impressions that show with an even rim.
  Outline plate;                          // As the plate lies in this use, about (0, 0).
  std::string set_label;                  // "part 2 of 4"; empty when alone.
  bool crowded = false;                   // Some sites are drawn as corner pieces.
};

/// Draws the sheet's outline, corner brackets and centre marks, and for every site the
/// outline of the plate where it goes, two register ticks, its label and its sign.
///
/// Ticks stand at the two outline points furthest apart (or nearly so: at least 0.9 of
/// it) and run 6.5 mm outside, in whichever of a few directions keeps furthest from
/// other outlines and ticks. Labels stand inside, clear of neighbours' ticks.
///
/// A site whose line would be nearer than 1.5 mm to another site's is drawn as pieces of
/// its outline beside the two target points, cut back so that lines of different sites
/// keep 1.5 mm apart, edge to edge; its whole outline is kept as a hidden mark.
Guide BuildGuide(const Plan& plan,
                 const std::vector<Placement>& placements,
                 const GuideRequest& request);

/// The guide in as many parts as its use asks for: one, or with Touching::kPages as few
/// as let no target or tick on a page come near another, or for masks as few as leave no
/// bridge under 8 mm between openings. Every site is in one part.
std::vector<Guide> BuildGuideParts(const Plan& plan,
                                   const std::vector<Placement>& placements,
                                   const GuideRequest& request);

/// How far lines of different sites keep apart, and bridges of a mask, mm.
inline constexpr double kLinesApartMm = 1.5, kBridgeMm = 8;

/// The pairs of outline points to carry register ticks, furthest apart first (at most
/// three, each at least 0.9 of the greatest distance). Tile frame.
std::vector<std::array<Point, 2>> TickPoints(std::span<const Point> outline);

enum class Paper { kA4, kLetter, kA3, kTabloid, kSheet };
const char* NameOf(Paper paper);                       // "A4", "letter", ...
Result<Paper> ParsePaper(std::string_view name);       // kBadArgument for others.

/// A picture that lies under a page's marks.
struct PagePicture {
  std::string png;          // The bytes of a PNG, clear where nothing is to be seen.
  Box box;                  // What it fills, page mm.
};

/// A page of paper; marks in page mm, origin at its top left corner.
struct GuidePage {
  std::string label;                      // "page 2 of 5: left top"; empty when alone.
  double width_mm = 0, height_mm = 0;
  Point sheet_at;                         // Where the guide's origin lies on the page.
  Box window;                             // The part of the guide shown, guide frame.
  std::vector<Mark> marks;
  std::vector<PagePicture> pictures;      // Under the marks.
  /// Corrects a printer that is off: a mark at x is drawn at x * scale_x of the paper.
  /// width_mm and height_mm are the paper's own; marks stay in true millimetres.
  double scale_x = 1, scale_y = 1;
};

inline constexpr double kPageMarginMm = 8;   // Home printers stop 3-6 mm short.
inline constexpr double kJoinOverlapMm = 12; // Wide enough for a match cross and a label.

/// How a sheet larger than the paper is split.
enum class PageSplit {
  kFeatures,  // Blocks of sites, each placed by what is on the sheet: nothing is joined.
  kJoined,    // Overlapping pages with match crosses and check lengths.
};

struct PageOptions {
  Paper paper = Paper::kA4;
  PageSplit split = PageSplit::kFeatures;
  double scale_x = 1, scale_y = 1;        // The printer's correction.
  PageOptions() = default;
  PageOptions(Paper p) : paper(p) {}      // NOLINT: a paper alone is the usual case.
  PageOptions(Paper p, PageSplit s) : paper(p), split(s) {}
};

/// One page with everything: the sheet, the words, the check bars. As large as it needs
/// to be (a print shop's page, and what the SVG holds).
GuidePage LayOutWholeSheet(const Guide& guide);

/// Pages of a paper: one where all fits, else first pages of words and checks and as many
/// as the sheet needs.
///
/// By features: blocks of rows x columns of sites, each page with two found impressions'
/// corners or with sheet edges both ways, named on the page. Where a page would have
/// neither (or a tile is larger than the paper) the sheet is split into joined pages.
std::vector<GuidePage> LayOutPages(const Guide& guide, const PageOptions& options);

/// The pages of all parts; the words and checks once.
std::vector<GuidePage> LayOutPages(const std::vector<Guide>& parts, const PageOptions& options);

/// The chart beside the work, one page (more where the table is long): the sheet made
/// smaller with a sign and an arrow at each site, and the moves in words.
std::vector<GuidePage> LayOutChart(const Plan& plan, const std::vector<Placement>& placements,
                                   const GuideRequest& request, Paper paper);

/// Clips a mark to a box. Lines are cut (one may become several), shapes are cut, words
/// that do not fit whole are left out: the overlap shows them on the next page.
std::vector<Mark> ClipMark(const Mark& mark, const Box& box);

}  // namespace truepull

#endif  // TRUEPULL_GUIDE_H_
