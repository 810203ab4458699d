// SPDX-License-Identifier: Apache-2.0
// truepull_fuzz [--runs N] [--seed S] [--from K] [--only TARGET] [--keep FILE]: spoiled files through every reader, at length.
#include <fmt/format.h>

#include <CLI/CLI.hpp>

#include "fuzz/watched_run.h"
#include "support/files.h"

int main(int argc, char** argv) {
  using namespace truepull::testing;
  std::uint64_t runs = 20000, seed = 1, from = 0;
  std::string only, keep;
  FuzzLimits limits;
  CLI::App app("Feeds every reader with spoiled files and tells what crashes, hangs or swells.");
  app.add_option("--runs", runs, "Files for each reader (a twentieth for sheet, which measures)");
  app.add_option("--seed", seed, "Seed");
  app.add_option("--from", from, "First run");
  app.add_option("--only", only, "One reader");
  app.add_option("--keep", keep, "Write the file of run --from here, and feed nothing");
  app.add_option("--seconds", limits.seconds, "Longest for one file");
  app.add_option("--memory", limits.memory_mb, "Most memory of a process, MB");
  CLI11_PARSE(app, argc, argv);
  bool fault = false;
  fmt::print("| reader | files | taken | longest s | peak MB | faults |\n|---|--:|--:|--:|--:|--:|\n");
  for (const FuzzTarget& target : AllFuzzTargets()) {
    if (!only.empty() && target.name != only) continue;
    if (!keep.empty()) {
      WriteFile(keep, SpoiledFile(target, seed, from));
      return 0;
    }
    const FuzzOutcome o = RunWatched(target, seed, from, target.name == "sheet" ? runs / 20 : runs, limits);
    fmt::print("| {} | {} | {} | {:.2f} | {} | {} |\n", target.name, o.runs, o.taken, o.longest_s, o.peak_mb, o.faults.size());
    for (const FuzzFault& f : o.faults) fmt::print(stderr, "{}, run {}: {}\n", target.name, f.run, f.words);
    std::fflush(stdout);
    fault = fault || !o.faults.empty();
  }
  return fault ? 1 : 0;
}
