// SPDX-License-Identifier: Apache-2.0
// `truepull simulate`: the photo of an imagined sheet, and what is true of it.
#include <fmt/format.h>

#include <CLI/CLI.hpp>
#include <algorithm>
#include <charconv>
#include <filesystem>
#include <memory>
#include <optional>
#include <string>
#include <vector>

#include "cli/command_context.h"
#include "cli/commands.h"
#include "cli/progress_line.h"
#include "cli/simulate_flags.h"
#include "truepull/drawing_file.h"
#include "truepull/io.h"
#include "truepull/plan_text.h"
#include "truepull/render.h"
#include "truepull/truth_text.h"

namespace truepull {
namespace {

struct SimulateRequest {
  std::string plan;
  std::uint64_t seed = 1;
  std::string like;
  std::string photo_size;
  int threads = 0;
  int quality = 90;
  int orientation = 1;
  std::string second;
  std::string second_colour = "#203050";
  std::vector<std::string> passes;   // NAME=FILE, in the order of pulling.
  double second_sd_mm = 0, second_turn_sd_deg = 0;
  double growth_x = 0, growth_y = 0;
  std::optional<std::uint64_t> another_photo;
  SimulateChanges changes;
  OutputOptions output;
};

/// "4000x3000"; the two numbers, or no success.
bool ReadSize(const std::string& text, int& width, int& height) {
  const std::size_t cross = text.find('x');
  if (cross == std::string::npos) return false;
  const char* begin = text.data();
  const auto w = std::from_chars(begin, begin + cross, width);
  const auto h = std::from_chars(begin + cross + 1, begin + text.size(), height);
  return w.ec == std::errc() && w.ptr == begin + cross && h.ec == std::errc() &&
         h.ptr == begin + text.size();
}

Result<LaterPass> LaterPassFrom(const SimulateRequest& request, const Plan& plan, const std::string& file) {
  const std::filesystem::path path(file);
  const auto text = ReadWholeFile(path, std::size_t{64} << 20);
  if (!text) return text.error();
  auto places = ParsePlaces(*text, path.filename().string(), AllSites(plan.lattice));
  if (!places) return places.error();
  LaterPass pass;
  pass.places = *std::move(places);
  pass.sd_shift_mm = request.second_sd_mm;
  pass.sd_turn_rad = RadFromDeg(request.second_turn_sd_deg);
  pass.growth_x_percent = request.growth_x;
  pass.growth_y_percent = request.growth_y;
  return pass;
}

Result<RenderOptions> Gather(const SimulateRequest& request, const Plan& plan) {
  RenderOptions options;
  if (!request.like.empty()) {
    auto like = OptionsLike(request.like, request.seed);
    if (!like) return like;
    options = *like;
  }
  options.seed = request.seed;
  options.threads = request.threads;
  // The phone is held the way the sheet lies.
  if (plan.sheet.height_mm > plan.sheet.width_mm) std::swap(options.width_px, options.height_px);
  if (!request.photo_size.empty()) ReadSize(request.photo_size, options.width_px, options.height_px);
  // The plates' own drawings are scratched in, unless a flag says otherwise.
  const bool drawn = std::any_of(plan.plates.begin(), plan.plates.end(), [](const Plate& p) { return !p.drawn.empty(); });
  if (drawn && options.ink.motif == Motif::kNone) options.ink.motif = Motif::kGull;
  if (request.another_photo) {
    // The same sheet under another light and camera.
    RenderOptions other;
    if (!request.like.empty()) other = *OptionsLike(request.like, *request.another_photo);
    options.camera = other.camera;
    options.light = other.light;
  }
  for (const auto& change : request.changes) change(options);
  if (!request.second.empty()) {
    auto pass = LaterPassFrom(request, plan, request.second);
    if (!pass) return pass.error();
    pass->colour = request.second_colour;
    options.later_passes.push_back(*std::move(pass));
  }
  for (const std::string& word : request.passes) {
    const auto equals = word.find('=');
    const std::string name = word.substr(0, equals);
    const auto planned = std::find_if(plan.passes.begin(), plan.passes.end(), [&](const Pass& p) { return p.name == name; });
    if (equals == std::string::npos || planned == plan.passes.end()) {
      std::string known;
      for (const Pass& p : plan.passes) known += (known.empty() ? "" : ", ") + p.name;
      return Error{ErrorCode::kBadArgument, "--pass " + word + (equals == std::string::npos ? ": is not NAME=FILE" : ": the plan has no pass of this name"),
                   known.empty() ? "the plan has no later passes" : "its passes are " + known + "; for example --pass " + plan.passes.front().name + "=next/placements.csv"};
    }
    auto pass = LaterPassFrom(request, plan, word.substr(equals + 1));
    if (!pass) return pass.error();
    if (!planned->colour.empty()) pass->colour = planned->colour;
    pass->outline = planned->outline;
    const Opacity opacity = planned->opacity.value_or(Opacity::kTransparent);
    pass->hiding = opacity == Opacity::kOpaque ? 0.95 : opacity == Opacity::kHalf ? 0.5 : 0;
    options.later_passes.push_back(*std::move(pass));
  }
  return options;
}

std::string Summary(const RenderedSheet& sheet) {
  int printed = 0, weak = 0, missing = 0;
  for (const TruthRow& row : sheet.truth) {
    (row.state == SiteState::kPrinted ? printed : row.state == SiteState::kWeak ? weak : missing) += 1;
  }
  return fmt::format("{} sites printed, {} weak, {} missing", printed, weak, missing);
}

void Simulate(const SimulateRequest& request, CommandContext& context) {
  const std::filesystem::path path(request.plan);
  const std::string name = path.filename().string();
  const auto text = ReadWholeFile(path, std::size_t{64} << 20);
  if (!text) return context.Fail(text.error());
  auto parsed = ParsePlan(*text, name);
  if (!parsed) return context.Fail(parsed.error());
  if (const Status ok = LoadDrawings(path.parent_path(), name, parsed->plan); !ok) return context.Fail(ok.error());
  const auto options = Gather(request, parsed->plan);
  if (!options) return context.Fail(options.error());

  // The folder first: no minute of drawing for a place that cannot be written.
  auto folder = OutputFolder::Open(request.output.folder, request.output.force);
  if (!folder) return context.Fail(folder.error());
  const ProgressLine progress("drawing the imagined photo", context.quiet);
  const auto sheet = RenderSheet(parsed->plan, *options);
  if (!sheet) return context.Fail(sheet.error());
  const auto jpeg = EncodePhotoJpeg(sheet->bgr, request.quality, request.orientation);
  if (!jpeg) return context.Fail(jpeg.error());

  std::vector<std::pair<std::string, std::string>> files{{"photo.jpg", *jpeg},
                                                         {"truth.csv", TruthText(sheet->truth)}};
  for (std::size_t i = 0; i < sheet->later_truth.size(); ++i) {
    const bool second = i == 0 && !request.second.empty();
    const std::string word = second ? std::string("second") : request.passes[i - (request.second.empty() ? 0 : 1)];
    files.emplace_back("truth-" + word.substr(0, word.find('=')) + ".csv", TruthText(sheet->later_truth[i]));
  }
  std::error_code ignored;
  // A plan that already lies there under this name needs no copy.
  if (!std::filesystem::equivalent(path, folder->folder() / "plan.yaml", ignored)) {
    files.emplace_back("plan.yaml", *text);
    for (auto& file : DrawingFiles(parsed->plan)) files.push_back(std::move(file));
  }
  for (const auto& [file, bytes] : files) {
    const Status staged = folder->Stage(file, bytes);
    if (!staged) return context.Fail(staged.error());
  }
  const Status committed = folder->Commit();
  if (!committed) return context.Fail(committed.error());
  for (const auto& [file, bytes] : files) {
    context.Say("wrote {}", (std::filesystem::path(request.output.folder) / file).string());
  }
  context.Say("{}", Summary(*sheet));
  context.Warn(name, parsed->warnings);
}

}  // namespace

void AddSimulateCommand(CLI::App& program, CommandContext& context) {
  CLI::App& command = *program.add_subcommand(
      "simulate", "Draw the photo of an imagined sheet whose truth is known, for practice and tests");
  const auto request = std::make_shared<SimulateRequest>();
  command.add_option("--plan", request->plan, "What the imagined printer meant to do")->required()->type_name("plan.yaml");
  command.add_option("--seed", request->seed, "Chance: the same number gives the same picture")->required()->type_name("N");
  command.add_option("--like", request->like, "A sensible set of faults; flags below change it")
      ->check(CLI::IsMember({"easy", "typical", "hard"}))
      ->type_name("easy|typical|hard");
  command.add_option("--photo", request->photo_size, "Size of the upright picture in pixels; usual 4000x3000")
      ->type_name("WxH")
      ->check([](const std::string& size) {
        int width = 0, height = 0;
        return ReadSize(size, width, height) ? std::string() : "write the size as 4000x3000";
      });
  command.add_option("--threads", request->threads, "Threads; 0 = all (the picture is the same)")->type_name("N");
  command.add_option("--quality", request->quality, "JPEG quality, 1..100; usual 90")->type_name("N");
  command.add_option("--orientation", request->orientation, "EXIF orientation, 1..8: how the pixels are stored")->type_name("N");
  command.add_option("--second", request->second, "Print a second pass over the places in this file (placements.csv)")->type_name("FILE");
  command.add_option("--second-colour", request->second_colour, "... in this colour")->type_name("#RRGGBB");
  command.add_option("--pass", request->passes, "Print the plan's later pass NAME, in its colour and outline, over the places in FILE; several, in the order of pulling")->type_name("NAME=FILE");
  command.add_option("--second-sd", request->second_sd_mm, "Later passes: with this spread of the hand's shift")->type_name("MM");
  command.add_option("--second-turn-sd", request->second_turn_sd_deg, "... and of its turn")->type_name("DEG");
  command.add_option("--second-growth-x", request->growth_x, "... on a sheet so much wider than it is in the photo (damp then, dry now)")->type_name("PERCENT");
  command.add_option("--second-growth-y", request->growth_y, "... and so much taller")->type_name("PERCENT");
  command.add_option("--another-photo", request->another_photo, "The same sheet, photographed anew: another camera stand and light (as --like has them for seed N)")->type_name("N");
  AddOutputOptions(command, request->output);
  AddQuietOption(command, context);
  AddSimulateFlags(command, request->changes);
  command.footer(
      "Every fault is off unless asked for. Writes photo.jpg, truth.csv and plan.yaml into DIR.\n"
      "Example:\n  truepull simulate --plan plan.yaml --seed 7 --like typical --out practice");
  command.callback([request, &context] { Simulate(*request, context); });
}

}  // namespace truepull
