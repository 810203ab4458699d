// SPDX-License-Identifier: Apache-2.0
// The ways a guide is used, and what each of them says and does.
#include "truepull/guide.h"

namespace truepull {
namespace {

constexpr const char* kOfTheFace = "for under the sheet, a clear film over it, or the back of the plate";
constexpr const char* kOfTheBack = "for the plate's printing face or the back of the sheet";

// Line widths: 0.3 mm is what an eye can halve; through damp paper on a light table 0.8.
constexpr UseLook kGeneralFace{"", "", kOfTheFace, false, 0.3, LineAim::kMiddle, true, false, true};
constexpr UseLook kUnder{"under", "UNDER THE SHEET, on a light table", "for under the sheet, sheet face up", false, 0.8,
                         LineAim::kInnerEdge, false, false, true};
constexpr UseLook kOver{"over", "OVER THE SHEET, as a hinged clear film", "for over the sheet, printed side up", false, 0.3,
                        LineAim::kMiddle, true, true, true};
constexpr UseLook kPlateFace{"plate", "BENEATH THE CLEAR PLATE, its printing face up", kOfTheBack, true, 0.3,
                             LineAim::kMiddle, true, false, false};
constexpr UseLook kPlateBack{"plate", "BENEATH THE CLEAR PLATE, seen through its back", "for the back of the plate", false, 0.3,
                             LineAim::kMiddle, true, false, false};
constexpr UseLook kBack{"back", "FOR THE BACK OF THE SHEET, sheet face down", kOfTheBack, true, 0.5, LineAim::kMiddle, false,
                        false, true};
constexpr UseLook kChart{"chart", "CHART, beside the work: not to size", "the same way up as the sheet lies", false, 0.3,
                         LineAim::kMiddle, true, false, false};
constexpr UseLook kMask{"mask", "MASK, cut out and laid on the sheet", "for over the sheet, printed side up", false, 0.25,
                        LineAim::kMiddle, false, false, true};
constexpr UseLook kStops{"stops", "STOPS for the block, as a hinged clear film", "for over the sheet, printed side up", false,
                         0.3, LineAim::kMiddle, false, true, true};
constexpr UseLook kBoard{"board", "REGISTRATION BOARD", "for the board that the sheet is laid on, face up", false, 0.25, LineAim::kMiddle,
                         false, false, false};
constexpr UseLook kFrame{"frame", "FRAME for one sheet", "for under the sheet, in the photo", false, 0.25, LineAim::kMiddle, false,
                         false, false};
constexpr UseLook kFixed{"back", "FIXED PLATE, the sheet lowered onto it", "for the plate's printing face and the back of the sheet", true, 0.4,
                         LineAim::kInnerEdge, false, false, false};

}  // namespace

const UseLook& UseLookOf(GuideUse use) {
  switch (use) {
    case GuideUse::kUnder: return kUnder;
    case GuideUse::kOver: return kOver;
    case GuideUse::kPlateFace: return kPlateFace;
    case GuideUse::kPlateBack: return kPlateBack;
    case GuideUse::kBack: return kBack;
    case GuideUse::kChart: return kChart;
    case GuideUse::kMask: return kMask;
    case GuideUse::kStops: return kStops;
    case GuideUse::kBoard: return kBoard;
    case GuideUse::kFrame: return kFrame;
    case GuideUse::kFixed: return kFixed;
    default: return kGeneralFace;
  }
}

std::vector<std::string> StepsOf(GuideUse use) {
  switch (use) {
    case GuideUse::kUnder:
      return {"Put the guide into a clear sleeve and tape it to the light table so that the R reads properly.",
              "Lay the sheet on it, face up, inside the four brackets and with its top edge at TOP EDGE.",
              "Set the charged plate down from above. Aim at the inner edge of the thick line: the plate just covers what is "
              "inside it, and both ticks show beside the plate.",
              "Rub, lift, and go on in the order of the numbers. Look at the brackets after every few pulls, for a damp "
              "sheet creeps."};
    case GuideUse::kOver:
      return {"Print on clear film. Hinge it along one edge of the sheet with tape, printed side up, so that the R reads "
              "properly and the brackets stand at the sheet's corners.",
              "Film down. Set the L of card to the target's two stop points: its inner corner on the ringed one, its arm "
              "along the dot.",
              "Hold the L, film away.",
              "Plate against both arms of the L. Set down, hold, take the L away, rub.",
              "Tick the site off and go on in the order of the numbers."};
    case GuideUse::kPlateFace:
      return {"Tape the guide to the table so that the R reads properly.",
              "Lay the clear plate on a site's outline, printing face up: it covers the line, its ticks show beside it.",
              "Scratch or charge it as it lies. What you see is mirrored, as the plate is; the print comes out right.",
              "Turn the plate over onto the sheet; for where it goes there, take a guide made with --use over or under."};
    case GuideUse::kPlateBack:
      return {"Tape the guide beside the sheet, the same way up, so that the R reads properly.",
              "Turn the charged plate over, printing face down, and look straight through its back.",
              "See how it lies on its site's outline and ticks here, without setting it down.",
              "Set it on the sheet in the same way: by the first impression, moved by the figures at the site."};
    case GuideUse::kBack:
      return {"Tape the guide to the light table so that the R reads properly.",
              "Lay the sheet on it face DOWN, inside the four brackets and with its top edge at TOP EDGE.",
              "Pencil each site's two ticks and its label on the back of the sheet.",
              "Lower the sheet, face down, so that the pencilled ticks stand at the plate's two points, or set the plate down on the "
              "turned sheet by them; press from the back.",
              "A plate fixed face up has a guide of its own, fixed-plate.pdf: it shows where the sheet's corner and edge go for each site."};
    case GuideUse::kChart:
      return {"Hang the chart beside the work, the same way up as the sheet lies.",
              "Hold the charged plate over its site and look through it: cover the first impression.",
              "Move the plate by the figures: right, left, up and down are the sheet's; turn as a clock's hand does.",
              "'As it lies': set it down as it is. Tick the site off."};
    case GuideUse::kMask:
      return {"Print on stiff paper or film. Cut each opening along the middle of its line, and trim the mask along those edges of the "
              "sheet that it shows.",
              "Lay the mask on the sheet so that the R reads properly: trimmed edges on the sheet's edges, and the impressions that its "
              "heading names with an even rim of paper in their openings.",
              "Pull through the openings; the mask keeps the neighbours clean. Wipe it between sheets.",
              "Go on with the next mask once the pulls are dry to the touch."};
    case GuideUse::kStops:
      return {"Print on clear film. Hinge it along one edge of the sheet with tape, printed side up, so that the R reads "
              "properly and the brackets stand at the sheet's corners.",
              "Film down. Set the L of card to the site's two stop points: its inner corner on the ringed one, its arm "
              "along the dot. A long broken rectangle is the block, where it is larger than what it prints.",
              "Hold the L, film away.",
              "Push the block against both arms of the L, press, take the L away, rub."};
    case GuideUse::kBoard:
      return {"Glue the page on a board so that the R reads properly; join pages by their crosses first.",
              "Cut only what you use: corner stops of card along the heavy angles, or the kento's notches, or pin holes with tabs.",
              "Kento: cut the notches as deep as the paper is thick. The sheet's corner goes into the corner notch, its edge "
              "against the side notch. For a block printed from above, cut them into the block, mirrored.",
              "Pins: tape a tab on the sheet over each hole and punch it where the pin stands; keep tabs on until the last pass.",
              "Feed every sheet the same way for every pass: the T is at the top."};
    case GuideUse::kFrame:
      return {"Tape the frame flat on the table; join pages by their crosses first.",
              "Lay the sheet in the outline, printed side up, top edge towards the R. No marker may be covered.",
              "Photograph sheet and frame from above, all markers in the picture."};
    case GuideUse::kFixed:
      return {"Print one page as large as it needs, or join pages by their crosses. Tape it down so that the R reads properly.",
              "Fix the plate on its outline, printing face UP.",
              "Charge it. Take the sheet face DOWN, its top edge away from you, as TOP EDGE says.",
              "Set the sheet's corner into the angle that has the site's label, so that its lower edge runs along the angle and along "
              "the stroke of the same label. Aim at the inner edges of both.",
              "Hold the corner, let the sheet down onto the plate, and press from the back.",
              "Charge again, and go on in the order of the numbers."};
    default: return {};
  }
}

}  // namespace truepull
