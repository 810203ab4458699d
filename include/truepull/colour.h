// SPDX-License-Identifier: Apache-2.0
// Colours as light and as the eye sees them: differences, overprints, names.
//
// A colour is linear light, one number per primary of sRGB, 1 = as bright as white
// (IEC 61966-2-1; D65). A *reflectance* is a colour over that of the bare paper beside it, so
// that the paper's own tint and the lamp drop out.
#ifndef TRUEPULL_COLOUR_H_
#define TRUEPULL_COLOUR_H_

#include <array>
#include <optional>
#include <string>
#include <string_view>

namespace truepull {

struct LinearColour {
  double r = 0, g = 0, b = 0;
  friend bool operator==(const LinearColour&, const LinearColour&) = default;
};

/// "#rrggbb" as linear light; nothing when the text is no such colour.
std::optional<LinearColour> ColourOfHex(std::string_view hex);

/// Nearest "#rrggbb"; light outside 0..1 is cut off.
std::string HexOfColour(const LinearColour& colour);

/// One coded sRGB value in 0..1 as linear light, and back (IEC 61966-2-1).
double LinearOfCoded(double coded);
double CodedOfLinear(double linear);
/// The 256 eight-bit codes as linear light.
const std::array<float, 256>& LinearOfCodes();

/// CIE 1976 L*a*b* under D65, 2 degree observer.
struct Lab {
  double L = 0, a = 0, b = 0;
  friend bool operator==(const Lab&, const Lab&) = default;
};

/// Lab with white (1, 1, 1) at L = 100, a = b = 0. Accuracy: within 0.01 of published
/// values (Lab.AgreesWithPublishedColours).
Lab LabOf(const LinearColour& colour);
LinearColour ColourOfLab(const Lab& lab);  // Its inverse; may leave 0..1.

/// CIEDE2000, all weights 1: G. Sharma, W. Wu, E. N. Dalal, "The CIEDE2000 Color-Difference
/// Formula: Implementation Notes, Supplementary Test Data, and Mathematical Observations",
/// Color Research and Application 30(1), 2005. Symmetric. Hues exactly opposite (to 1e-9
/// degrees) take the mean between them, as the paper's table does.
double ColourDifference(const Lab& a, const Lab& b);

/// Below this CIEDE2000 two areas side by side are hard to tell apart in a print: common
/// practice holds 2 to 2.5 to be just visible in pictures; twice that is safe at a glance.
inline constexpr double kHardlyShows = 5;

/// Words by lightness and hue: "dark blue", "pale grey", "brown". From Lab, so alike for any
/// colour the eye takes to be alike; the words serve readers who cannot see the hue.
std::string NameOfColour(const Lab& lab);

/// How strongly a layer hides what lies beneath: 0 transparent, 0.5 half, 1 opaque.
///
/// Predicts the overprint as reflectance over bare paper, per primary:
///   transparent  R = R_below R_ink                  (light passes both layers twice),
///   opaque       R = R_ink,
///   between      the mean of the two, weighed by `opacity`.
/// `ink` is the layer's reflectance on bare paper at full strength. Limits: three broad bands
/// stand for the spectrum; scattering within the layer, gloss and how well wet ink takes on
/// wet ink are left out; wax and pastel are uneven. Good for choosing, not for matching.
LinearColour Overprint(const LinearColour& below, const LinearColour& ink, double opacity);

/// The least CIEDE2000 between a measured reflectance and an ink however thinly it lies: its
/// density times 0.3 to 1.5, and from all of the paper down to a third of it covered. A print
/// is rubbed thinner here and thicker there; its hue stays.
double DifferenceAsInk(const LinearColour& measured, const LinearColour& ink);

/// A colour as it looks beside the paper: colour / paper, per primary (paper under 0.001 of
/// light in a primary counts as 0.001).
LinearColour ReflectanceOn(const LinearColour& paper, const LinearColour& colour);

/// Kinds of colour vision: common, and without one of the three kinds of cone.
enum class ColourVision { kCommon, kNoRed, kNoGreen, kNoBlue };

/// How a colour looks without one kind of cone: G. M. Machado, M. M. Oliveira, L. A. F.
/// Fernandes, "A Physiologically-based Model for Simulation of Color Vision Deficiency", IEEE
/// TVCG 15(6), 2009, severity 1. Cut to 0..1.
LinearColour AsSeenWith(ColourVision vision, const LinearColour& colour);

/// The least CIEDE2000 between two colours over the four kinds of colour vision.
double DifferenceForAllEyes(const LinearColour& a, const LinearColour& b);

}  // namespace truepull

#endif  // TRUEPULL_COLOUR_H_
