// SPDX-License-Identifier: Apache-2.0
// A printer's profile: how far its prints are from true, kept from one guide to the next.
#ifndef TRUEPULL_PRINTER_TEXT_H_
#define TRUEPULL_PRINTER_TEXT_H_

#include <string>
#include <string_view>

#include "truepull/result.h"

namespace truepull {

/// What 200 mm on an uncorrected page measured, mm.
struct PrinterMeasure {
  double x_mm = 200, y_mm = 200;
  /// By what a page is enlarged so that this printer makes it true: 200 / measured.
  double ScaleX() const { return 200 / x_mm; }
  double ScaleY() const { return 200 / y_mm; }
  /// Over 2 % either way: fitting to the page was probably on.
  bool ProbablyFitted() const;
};

/// "x=198.5,y=199.2", in either order; a direction left out is taken as true. Within 150 to
/// 250 mm, for further off is a slip. Fails with kBadArgument.
Result<PrinterMeasure> ParseMeasured(std::string_view text);

/// A profile file: `truepull: 1`, `kind: printer`, `measured: {x: 198.5, y: 199.2}`.
/// Fails with kInvalidFile; messages begin with `name`.
Result<PrinterMeasure> ParsePrinter(std::string_view text, const std::string& name);
std::string WritePrinter(const PrinterMeasure& measure);

}  // namespace truepull

#endif  // TRUEPULL_PRINTER_TEXT_H_
