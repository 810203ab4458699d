// SPDX-License-Identifier: Apache-2.0
#include "cli/planning_flags.h"

#include <CLI/CLI.hpp>
#include <sstream>

#include "io/strict_number.h"

namespace truepull {
namespace {

// "register", "fit", "lattice", or how much of fit from 0 to 1. What is wrong, or nothing.
std::string ReadFavour(const std::string& word, NextOptions& options) {
  options.lattice = word == "lattice";
  options.favour = word == "fit" ? 1 : 0;
  if (word == "register" || word == "fit" || word == "lattice") return "";
  const auto number = ReadStrictNumber(word).value;
  if (!number || *number < 0 || *number > 1) {
    return "\"" + word + "\" is no favour: say register, fit, lattice, or a number from 0 (register) to 1 (fit)";
  }
  options.favour = *number;
  return "";
}

// "across=202.6,along=200.3" or "x=...,y=...". What is wrong, or nothing.
std::string ReadTicks(const std::string& text, TickMeasure& ticks) {
  std::istringstream parts(text);
  for (std::string part; std::getline(parts, part, ',');) {
    const auto equals = part.find('=');
    const std::string name = part.substr(0, equals);
    const auto value = equals == std::string::npos ? std::nullopt : ReadStrictNumber(part.substr(equals + 1)).value;
    std::optional<double>* place = name == "across"  ? &ticks.across_grain
                                   : name == "along" ? &ticks.along_grain
                                   : name == "x"     ? &ticks.x
                                   : name == "y"     ? &ticks.y
                                                     : nullptr;
    if (place == nullptr || !value || *value <= 0) {
      return "\"" + part + "\" is no tick: say across=202.6,along=200.3 (mm, by the grain) or x=202.6,y=200.3";
    }
    *place = value;
  }
  return "";
}

}  // namespace

void AddPlanningFlags(CLI::App& command, const std::shared_ptr<NextOptions>& options) {
  command.add_option_function<std::string>("--favour", [options](const std::string& word) { ReadFavour(word, *options); },
                     "What to favour: register (each plate on its own impression), fit (even seams), lattice (the ideal "
                     "places), or a number from 0 (register) to 1 (fit)")
      ->type_name("WORD")
      ->default_str("register")
      ->check([](const std::string& word) {
        NextOptions tried;
        return ReadFavour(word, tried);
      });
  command.add_option("--trap", options->trap_mm,
                     "Overlap in mm that hides misregister: no plate goes further from its impression, and gaps are kept "
                     "narrower where that is possible")
      ->type_name("MM")
      ->check(CLI::Range(0.01, 20.0));
  command.add_flag("--finish", options->finish, "Place the rest of a pass that is partly printed: the sites not yet printed, "
                   "joined to their neighbours so that creep stops");
  command.add_option_function<std::string>(
             "--ticks",
             [options](const std::string& text) {
               if (!options->ticks) options->ticks.emplace();
               ReadTicks(text, *options->ticks);
             },
             "What pencil ticks on the sheet measure now, as you pull: across=202.6,along=200.3 (by the grain) or x=...,y=...")
      ->type_name("MM")
      ->check([](const std::string& text) {
        TickMeasure tried;
        return ReadTicks(text, tried);
      });
  command.add_option("--ticks-before", options->ticks_before_mm, "What the ticks were apart at the photo")
      ->type_name("MM")
      ->capture_default_str()
      ->check(CLI::Range(20.0, 2000.0));
  command.add_flag("--stretch-ladder", options->stretch_ladder,
                   "For a bench without a computer: the guide in lettered steps of 0.5 % and a ladder that tells the letter");
  command.add_option("--spread", options->spread_mm,
                     "Spread (sd, mm) of one placement: works out the trap and draws the plates with it")
      ->type_name("MM")
      ->check(CLI::Range(0.01, 10.0));
  command.add_option_function<int>("--closes", [options](int percent) { options->closes = percent / 100.0; },
                     "Per cent of the seams that the trap is to close, 95 or 99 (without --spread: by this sheet's own spread)")
      ->type_name("PERCENT")
      ->check(CLI::IsMember({95, 99}));
  command.add_flag("--choke", options->choke, "The plates are made smaller by the trap, not larger");
  command.add_flag("--together", options->together, "One setting of the stops for all the readings, and what each sheet needs beside it");
  command.add_option("--photo", options->photo, "The photo that was read: paints the next colour over it, preview.png")->type_name("FILE");
  command.add_flag("--left-handed", options->times.left_handed, "Number the pulls for the left hand");
  const auto minutes = [&](const char* flag, double& value, const char* help, double least) {
    return command.add_option(flag, value, help)->type_name("MINUTES")->check(CLI::Range(least, 10000.0));
  };
  minutes("--minutes", options->times.minutes_per_pull, "Minutes for a pull, with charging the plate", 0.1)->capture_default_str();
  minutes("--wash-minutes", options->times.minutes_per_wash, "Minutes to wash the plate", 0)->capture_default_str();
  minutes("--damp-minutes", options->times.minutes_per_damping, "Minutes to damp the sheet", 0)->capture_default_str();
  minutes("--damp-every", options->damp_every_min, "Minutes until the sheet wants damping again; not given: once or never", 0.1);
  minutes("--lesson", options->lesson_min, "Printing minutes of one lesson; not given: all in one go", 0.1);
}

}  // namespace truepull
