// SPDX-License-Identifier: Apache-2.0
// --paper, --measured and --printer, and where profiles of printers are kept.
#include <CLI/CLI.hpp>
#include <algorithm>
#include <cstdlib>
#include <system_error>

#include "cli/guide_flags.h"
#include "truepull/io.h"

namespace truepull {
namespace {

namespace fs = std::filesystem;

// Where profiles live: TRUEPULL_PRINTERS, or the user's folder of settings.
fs::path ProfileFolder() {
  if (const char* own = std::getenv("TRUEPULL_PRINTERS"); own != nullptr && *own != '\0') return own;
  if (const char* config = std::getenv("XDG_CONFIG_HOME"); config != nullptr && *config != '\0') {
    return fs::path(config) / "truepull" / "printers";
  }
  const char* home = std::getenv("HOME");
  return fs::path(home == nullptr ? "." : home) / ".config" / "truepull" / "printers";
}

std::string KnownPrinters(const fs::path& folder) {
  std::vector<std::string> names;
  std::error_code ec;
  for (const auto& entry : fs::directory_iterator(folder, ec)) {
    if (entry.path().extension() == ".yaml") names.push_back(entry.path().stem().string());
  }
  std::sort(names.begin(), names.end());
  std::string out;
  for (const auto& name : names) out += (out.empty() ? "" : ", ") + name;
  return out;
}

}  // namespace

void AddPrinterFlags(CLI::App& command, PrinterFlags& flags) {
  command.add_option_function<std::string>("--paper", [&flags](const std::string& word) { flags.paper = *ParsePaper(word); },
                     "A4, letter, A3, tabloid, or sheet: one page as large as it needs")
      ->type_name("PAPER")
      ->default_str("A4")
      ->check([](const std::string& word) {
        const auto parsed = ParsePaper(word);
        return parsed ? std::string() : parsed.error().message + "; " + parsed.error().hint;
      });
  command.add_option("--measured", flags.measured,
                     "What 200 mm of both bars measured on an uncorrected page; the pages are made true for that printer")
      ->type_name("x=MM,y=MM")
      ->check([](const std::string& text) {
        const auto parsed = ParseMeasured(text);
        return parsed ? std::string() : parsed.error().message + "; " + parsed.error().hint;
      });
  command.add_option("--printer", flags.printer, "Keeps what was measured under this name, or takes what was kept")
      ->type_name("NAME")
      ->check([](const std::string& name) {
        const bool plain = !name.empty() && name.size() <= 60 && name[0] != '.' &&
                           std::all_of(name.begin(), name.end(), [](unsigned char c) {
                             return std::isalnum(c) || c == '-' || c == '_' || c == '.' || c >= 0x80;
                           });
        return plain ? std::string() : "'" + name + "' must be letters, digits, dots and dashes";
      });
}

Result<PrinterMeasure> MeasureOf(const PrinterFlags& flags, CommandContext& context) {
  PrinterMeasure measure;
  const fs::path folder = ProfileFolder(), file = folder / (flags.printer + ".yaml");
  if (!flags.measured.empty()) {
    const auto parsed = ParseMeasured(flags.measured);
    if (!parsed) return parsed.error();
    measure = *parsed;
    if (!flags.printer.empty()) {
      auto out = OutputFolder::Open(folder, true);
      if (!out) return out.error();
      if (const auto staged = out->Stage(file.filename().string(), WritePrinter(measure)); !staged) return staged.error();
      if (const auto done = out->Commit(); !done) return done.error();
      context.Say("kept for printer {}: 200 mm came out as {:.2f} in width and {:.2f} in height", flags.printer, measure.x_mm,
                  measure.y_mm);
    }
  } else if (!flags.printer.empty()) {
    std::error_code ec;
    if (!fs::is_regular_file(file, ec)) {
      const std::string known = KnownPrinters(folder);
      return Error{ErrorCode::kUnreadableFile, "--printer " + flags.printer + ": nothing is kept under this name",
                   (known.empty() ? std::string() : "known are " + known + "; ") +
                       "measure a page and give --measured with it once"};
    }
    const auto text = ReadWholeFile(file, std::size_t{1} << 20);
    if (!text) return text.error();
    const auto parsed = ParsePrinter(*text, file.string());
    if (!parsed) return parsed.error();
    measure = *parsed;
  }
  if (measure.ProbablyFitted()) {
    context.Warn(flags.printer.empty() ? "--measured" : "printer " + flags.printer,
                 {fmt::format("{:.1f} and {:.1f} mm of 200 are over 2 % off: fitting to the page was probably on; print at "
                              "100 % and measure again", measure.x_mm, measure.y_mm)});
  }
  return measure;
}

std::string PrinterNote(const PrinterFlags& flags, const PrinterMeasure& m) {
  if (m.x_mm == 200 && m.y_mm == 200) return "";
  std::string note = fmt::format("This print is corrected for {}, whose 200 mm came out as {:.2f} in width and {:.2f} in height: "
                                 "the bars should be true now.",
                                 flags.printer.empty() ? std::string("a printer") : "printer " + flags.printer, m.x_mm, m.y_mm);
  if (m.ProbablyFitted()) note += " That is over 2 %: fitting to the page was probably on.";
  return note;
}

}  // namespace truepull
