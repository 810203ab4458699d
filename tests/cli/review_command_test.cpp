// SPDX-License-Identifier: Apache-2.0
// `truepull review`: good and bad photos, readings, streams, files and exit status.
#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <csignal>
#include <cstdlib>
#include <filesystem>
#include <opencv2/imgproc.hpp>
#include <sstream>

#include "edition/made_editions.h"
#include "support/harbour_plan.h"
#include "support/places.h"
#include "support/program.h"
#include "truepull/plan_text.h"
#include "truepull/reading_text.h"
#include "truepull/render.h"

namespace truepull::testing {
namespace {

using ::testing::ElementsAre;
using ::testing::HasSubstr;
using ::testing::Not;
using ::testing::StartsWith;

namespace fs = std::filesystem;

const std::string kHeader =
    "code,photo,used,reason,shift_x_mm,shift_y_mm,turn_deg,stretch_along_grain_percent,stretch_across_grain_percent,"
    "hand_sd_mm,hand_sd_turn_deg,creep_column_mm_per_step,creep_row_mm_per_step,main_habit,suspected_cause,order";

// Cells of one line; quoted cells may hold commas.
std::vector<std::string> Cells(const std::string& line) {
  std::vector<std::string> cells{""};
  bool quoted = false;
  for (const char c : line) {
    if (c == '"') quoted = !quoted;
    else if (c == ',' && !quoted) cells.emplace_back();
    else cells.back() += c;
  }
  return cells;
}

class Review : public ::testing::Test {
 protected:
  ProgramRun Run(std::vector<std::string> more = {}) {
    more.insert(more.begin(), {"review", "photos", "--out", "out"});
    return RunTruepull(more, folder_.path());
  }
  // Rows of review.csv by the photo's name.
  std::map<std::string, std::vector<std::string>> Rows() {
    std::istringstream lines(ReadFile(folder_ / "out/review.csv"));
    std::string line;
    std::getline(lines, line);
    EXPECT_EQ(line, kHeader);
    std::map<std::string, std::vector<std::string>> rows;
    while (std::getline(lines, line)) {
      const auto cells = Cells(line);
      EXPECT_EQ(cells.size(), 16u) << line;
      rows[cells[1]] = cells;
    }
    return rows;
  }
  void WriteReadings(const MadeEdition& made) {
    for (const EditionSheet& s : Make(made)) {
      fs::create_directories(folder_ / ("photos/" + s.code));
      WriteFile(folder_ / ("photos/" + s.code + "/reading.yaml"), WriteReading(s.reading, MeasureDrift(s.reading.plan, s.reading.sheet)));
    }
  }
  TemporaryFolder folder_;
};

// The harbour plan with 4 mm of paper between the tiles, as in read_command_test.
const std::string kPlan = With("[60, 0]\n  down: [0, 45]", "[64, 0]\n  down: [0, 49]", With("[30, 24]", "[20, 24]"));

std::string Photo(unsigned seed, const std::function<void(RenderOptions&)>& change = {}) {
  RenderOptions options;
  options.seed = seed;
  options.width_px = 1500, options.height_px = 1125;
  options.table.look = TableLook::kWood;
  options.ink.edge_ring_mm = 2;
  options.hand.sd_shift_mm = 0.3;
  options.camera.noise = 0.01;
  if (change) change(options);
  auto sheet = RenderSheet(ParsePlan(kPlan, "plan.yaml")->plan, options);
  if (!sheet) throw std::runtime_error(sheet.error().message);
  return *EncodePhotoJpeg(sheet->bgr, 90, 1);
}

TEST_F(Review, GoesOnAfterBadPhotosAndNamesEachWithItsReason) {
  fs::create_directories(folder_ / "photos");
  WriteFile(folder_ / "plan.yaml", kPlan);
  const std::string first = Photo(1), second = Photo(2, [](RenderOptions& o) { o.hand.habit_shift_mm = {1.4, 0}; });
  WriteFile(folder_ / "photos/sheet-1.jpg", first);
  WriteFile(folder_ / "photos/sheet-2.JPG", second);
  WriteFile(folder_ / "photos/sheet-10.jpg", Photo(3));
  WriteFile(folder_ / "photos/again.jpg", first);
  WriteFile(folder_ / "photos/cut.jpg", second.substr(0, second.size() / 2));
  WriteFile(folder_ / "photos/letter.jpg", "Dear all, the photos are on their way.\n");
  WriteFile(folder_ / "photos/table.jpg", Photo(4, [](RenderOptions& o) { o.table.no_sheet = true; }));
  WriteFile(folder_ / "photos/notes.txt", "no photo and no reading");

  const ProgramRun run = Run({"--plan", "plan.yaml"});
  EXPECT_EQ(run.exit_code, 3) << run.err;
  EXPECT_THAT(run.out, StartsWith("3 of 7 photos used\n"));
  EXPECT_THAT(run.err, HasSubstr("letter.jpg: not used: is not a photo that can be read"));
  EXPECT_THAT(run.err, HasSubstr("cut.jpg: not used: is cut short"));
  EXPECT_THAT(run.err, HasSubstr("table.jpg: not used: "));
  EXPECT_THAT(run.err, HasSubstr("sheet-1.jpg: not used: is the same file as again.jpg"));
  auto rows = Rows();
  ASSERT_EQ(rows.size(), 7u);
  EXPECT_EQ(rows["letter.jpg"][2], "no");
  EXPECT_THAT(rows["letter.jpg"][3], HasSubstr("is not a photo"));
  EXPECT_EQ(rows["sheet-2.JPG"][0], "sheet-2");
  EXPECT_EQ(rows["sheet-2.JPG"][2], "yes");
  EXPECT_NEAR(std::stod(rows["sheet-2.JPG"][4]), 1.4, 0.25);
  EXPECT_NEAR(std::stod(rows["again.jpg"][4]), 0, 0.25);
  EXPECT_THAT(rows["sheet-2.JPG"][13], HasSubstr("to the right of their places"));
  // Natural order: 2 before 10.
  EXPECT_EQ(rows["again.jpg"][15], "1");
  EXPECT_EQ(rows["sheet-2.JPG"][15], "2");
  EXPECT_EQ(rows["sheet-10.jpg"][15], "3");
  const std::string page = ReadFile(folder_ / "out/review.html");
  for (const char* photo : {"letter.jpg", "cut.jpg", "table.jpg", "sheet-1.jpg"}) EXPECT_THAT(page, HasSubstr(photo));
  EXPECT_THAT(page, Not(HasSubstr("http")));
  EXPECT_THAT(page, HasSubstr("data:image/jpeg;base64,"));
  EXPECT_TRUE(fs::exists(folder_ / "out/sheet-2/first/reading.yaml"));
  EXPECT_TRUE(fs::exists(folder_ / "out/sheet-2/first/drift.csv"));
  EXPECT_TRUE(fs::exists(folder_ / "out/students.html"));

  // Again: everything comes from the cache, byte for byte the same.
  const std::string table = ReadFile(folder_ / "out/review.csv");
  const auto kept = fs::last_write_time(*fs::directory_iterator(folder_ / "out/.truepull-cache"));
  const ProgramRun again = Run({"--plan", "plan.yaml"});
  EXPECT_EQ(again.exit_code, 3);
  EXPECT_EQ(again.out, run.out);
  EXPECT_EQ(ReadFile(folder_ / "out/review.csv"), table);
  EXPECT_EQ(ReadFile(folder_ / "out/review.html"), page);
  EXPECT_EQ(fs::last_write_time(*fs::directory_iterator(folder_ / "out/.truepull-cache")), kept);
}

TEST_F(Review, WorksOnReadingsWithoutAPlan) {
  MadeEdition made;
  made.sheets = 8;
  made.lay_mm = 0.02, made.lay_rad = 0;
  WriteReadings(made);
  const ProgramRun run = Run();
  EXPECT_EQ(run.exit_code, 0) << run.err;
  EXPECT_EQ(run.err, "");
  EXPECT_THAT(run.out, StartsWith("8 of 8 photos used\n"));
  auto rows = Rows();
  ASSERT_EQ(rows.size(), 8u);
  EXPECT_EQ(rows["03/reading.yaml"][0], "03");
  EXPECT_NEAR(std::stod(rows["03/reading.yaml"][9]), 0.25, 0.15);
  EXPECT_EQ(rows["03/reading.yaml"][14], "none");
  // What it wrote can be reviewed again.
  const ProgramRun second = RunTruepull({"review", "out", "--out", "more"}, folder_.path());
  EXPECT_EQ(second.exit_code, 0) << second.err;
  EXPECT_THAT(second.out, StartsWith("8 of 8 photos used\n"));
}

TEST_F(Review, TakesCodesOrderAndProofFromEditionYaml) {
  MadeEdition made;
  made.sheets = 8;
  made.lay_mm = 0.02, made.lay_rad = 0;
  WriteReadings(made);
  WriteFile(folder_ / "photos/edition.yaml",
            "truepull: 1\ntitle: Harbour gulls\nproof: gull-3\nsheets:\n"
            "  - {code: gull-3, photo: 03/reading.yaml, order: 8}\n"
            "  - {code: gull-8, photo: 08/reading.yaml, order: 3, whose: K2}\n"
            "  - {code: lost, photo: nowhere.jpg}\n");
  const ProgramRun run = Run();
  EXPECT_EQ(run.exit_code, 0) << run.err;
  auto rows = Rows();
  EXPECT_EQ(rows["03/reading.yaml"][0], "gull-3");
  EXPECT_EQ(rows["03/reading.yaml"][15], "8");
  EXPECT_EQ(rows["08/reading.yaml"][15], "3");
  const std::string page = ReadFile(folder_ / "out/review.html");
  EXPECT_THAT(page, HasSubstr("<title>Harbour gulls</title>"));
  EXPECT_THAT(page, HasSubstr("Beside the approved proof (gull-3)"));
  EXPECT_THAT(page, HasSubstr("Edition.yaml names the photo nowhere.jpg, which is not here"));
  EXPECT_THAT(ReadFile(folder_ / "out/students.html"), HasSubstr(">K2<"));
}

TEST_F(Review, RefusesWhatItCannotUseAndWritesNothing) {
  fs::create_directories(folder_ / "photos");
  WriteFile(folder_ / "plan.yaml", kPlan);
  ProgramRun run = Run({"--plan", "plan.yaml"});
  EXPECT_EQ(run.exit_code, 1);
  EXPECT_EQ(run.err,
            "photos: holds no photos and no readings\n"
            "  try: give the folder that the photos (.jpg, .jpeg, .png, .tif, .tiff, .webp) or readings are in\n");
  WriteFile(folder_ / "photos/bad.jpg", "nothing");
  run = Run({"--plan", "plan.yaml"});
  EXPECT_EQ(run.exit_code, 1);
  EXPECT_THAT(run.err, HasSubstr("bad.jpg: not used: is not a photo"));
  EXPECT_THAT(run.err, HasSubstr("photos: nothing in it could be used"));
  EXPECT_FALSE(fs::exists(folder_ / "out"));
  run = Run();
  EXPECT_EQ(run.exit_code, 2);
  EXPECT_THAT(run.err, StartsWith("--plan is needed"));
  run = RunTruepull({"review", "elsewhere", "--out", "out"}, folder_.path());
  EXPECT_EQ(run.exit_code, 1);
  EXPECT_EQ(run.err, "elsewhere: is no folder\n  try: give the folder that the photos or readings are in\n");
  WriteFile(folder_ / "photos/edition.yaml", "truepull: 1\nwanted: many\n");
  run = Run({"--plan", "plan.yaml"});
  EXPECT_EQ(run.exit_code, 1);
  EXPECT_THAT(run.err, StartsWith("edition.yaml:2:9: wanted must be"));
  EXPECT_FALSE(fs::exists(folder_ / "out"));
}

TEST_F(Review, NamesAFileThatIsNotItsOwnAndWritesNothing) {
  MadeEdition made;
  made.sheets = 3;
  WriteReadings(made);
  fs::create_directories(folder_ / "out");
  WriteFile(folder_ / "out/review.csv", "mine");
  const ProgramRun run = Run();
  EXPECT_EQ(run.exit_code, 1);
  EXPECT_THAT(run.err, HasSubstr("review.csv: is there already and was not written by truepull"));
  EXPECT_EQ(ReadFile(folder_ / "out/review.csv"), "mine");
  EXPECT_FALSE(fs::exists(folder_ / "out/review.html"));
  EXPECT_FALSE(fs::exists(folder_ / "out/01"));
  EXPECT_EQ(Run({"--force"}).exit_code, 0);
}

// Two plans, cards, a later pass with and without a card, a code used twice, an interrupted
// run: what a class hands in.
class AClass : public Review {
 protected:
  // Tiles of another shape, as far apart.
  const std::string other_ = With("[[0, 0], [60, 0], [60, 45], [0, 45]]", "[[0, 0], [28, 0], [28, 66], [0, 66]]",
                                  With("[64, 0]\n  down: [0, 49]", "[36, 0]\n  down: [0, 74]", With("rows: 5\n  columns: 6", "rows: 3\n  columns: 10", kPlan)));
  std::string Sheet(const std::string& plan, unsigned seed, int card, int pass = 1, bool second = false) {
    const Plan parsed = ParsePlan(plan, "plan.yaml")->plan;
    RenderOptions options;
    options.seed = seed;
    options.width_px = 1600, options.height_px = 1200;
    options.table.look = TableLook::kWood;
    options.table.card = card, options.table.card_pass = pass;
    if (card > 0) options.camera.fill = 0.72, options.camera.offset = {-0.11, 0};
    options.ink.edge_ring_mm = 2;
    options.hand.sd_shift_mm = 0.5;
    options.camera.noise = 0.01;
    if (second) {
      const auto first = RenderSheet(parsed, options);
      LaterPass& later = options.later_passes.emplace_back();
      later.sd_shift_mm = 0.15;
      for (const TruthRow& row : first->truth) later.places.push_back(row.pose);
    }
    return *EncodePhotoJpeg(RenderSheet(parsed, options)->bgr, 90, 1);
  }
};

TEST_F(AClass, IsSortedOutByCardsPlansPatternsAndColours) {
  fs::create_directories(folder_ / "photos");
  WriteFile(folder_ / "plan.yaml", kPlan);
  WriteFile(folder_ / "other.yaml", other_);
  WriteFile(folder_ / "photos/a.jpg", Sheet(kPlan, 1, 4));
  WriteFile(folder_ / "photos/b.jpg", Sheet(kPlan, 2, 5));
  WriteFile(folder_ / "photos/c.jpg", Sheet(other_, 3, 6));
  WriteFile(folder_ / "photos/d.jpg", Sheet(kPlan, 5, 5));             // Card 5 once more, on another sheet.
  WriteFile(folder_ / "photos/e.jpg", Sheet(kPlan, 1, 0, 1, true));    // Later pass of card 4, without a card.
  WriteFile(folder_ / "photos/f.jpg", Sheet(kPlan, 2, 5, 2, true));    // Later pass of card 5, with its card.
  WriteFile(folder_ / "photos/g.jpg", Sheet(kPlan, 9, 0, 1, true));    // Later pass of a sheet that is not here.
  WriteFile(folder_ / "photos/edition.yaml", "truepull: 1\nsheets:\n  - {code: \"06\", plan: other.yaml, whose: K6}\n  - {code: \"04\", pass: dark, date: May}\n");
  const std::vector<std::string> plans{"--plan", "plan.yaml", "--plan", "other.yaml"};
  const ProgramRun run = Run(plans);
  EXPECT_EQ(run.exit_code, 3) << run.err;
  EXPECT_THAT(run.out, StartsWith("6 of 7 photos used\n")) << run.err;
  EXPECT_THAT(run.out, HasSubstr("the code 05 is used twice: d.jpg goes by 05-2"));
  EXPECT_THAT(run.err, HasSubstr("g.jpg: not used: shows the pass dark, and which sheet it is cannot be told"));
  auto rows = Rows();
  EXPECT_EQ(rows["a.jpg"][0], "04");
  EXPECT_EQ(rows["c.jpg"][0], "06");
  EXPECT_EQ(rows["e.jpg"][0], "04");
  EXPECT_EQ(rows["f.jpg"][0], "05");
  for (const char* file : {"04/first", "04/dark", "05/first", "05/dark", "05-2/first", "06/first"}) {
    EXPECT_TRUE(fs::exists(folder_ / "out" / file / "reading.yaml")) << file;
  }
  EXPECT_EQ(ParseReading(ReadFile(folder_ / "out/06/first/reading.yaml"), "r")->plan.lattice.columns, 10);
  EXPECT_EQ(ParseReading(ReadFile(folder_ / "out/04/dark/reading.yaml"), "r")->pass, "dark");
  EXPECT_THAT(ReadFile(folder_ / "out/review.yaml"), HasSubstr("register_on_first: {shift: ["));
  // What it wrote is a folder of readings: codes and passes stay.
  const ProgramRun again = RunTruepull({"review", "out", "--out", "more"}, folder_.path());
  EXPECT_THAT(again.out, StartsWith("6 of 6 photos used\n")) << again.err;
  EXPECT_TRUE(fs::exists(folder_ / "more/04/dark/reading.yaml"));
  EXPECT_TRUE(fs::exists(folder_ / "more/05-2/first/reading.yaml"));
}

TEST_F(AClass, IsReadOnWhereARunWasBrokenOff) {
  fs::create_directories(folder_ / "photos");
  WriteFile(folder_ / "plan.yaml", kPlan);
  for (int k = 1; k <= 6; ++k) WriteFile(folder_ / ("photos/" + std::to_string(k) + ".jpg"), Photo(static_cast<unsigned>(k)));
  const ProgramRun whole = RunTruepull({"review", "photos", "--plan", "plan.yaml", "--out", "whole"}, folder_.path());
  EXPECT_THAT(whole.out, StartsWith("6 of 6 photos used\n")) << whole.err;
  // The same, killed as soon as one photo is in the cache.
  const fs::path cache = folder_ / "out/.truepull-cache";
  const auto kept = [&] {
    int n = 0;
    std::error_code ec;
    for (const auto& entry : fs::directory_iterator(cache, ec)) n += entry.path().extension() == ".yaml";
    return n;
  };
  const std::string program = testing::ProgramFile();
  const pid_t child = fork();
  if (child == 0) {
    if (chdir(folder_.path().c_str()) != 0) _exit(126);
    execl(program.c_str(), program.c_str(), "review", "photos", "--plan", "plan.yaml", "--out", "out", "--quiet", nullptr);
    _exit(127);
  }
  for (int k = 0; k < 600 && kept() == 0; ++k) usleep(50'000);
  kill(child, SIGKILL);
  int status = 0;
  waitpid(child, &status, 0);
  ASSERT_TRUE(WIFSIGNALED(status)) << "it was done before it could be broken off";
  EXPECT_FALSE(fs::exists(folder_ / "out/review.html"));
  const int before = kept();
  EXPECT_GE(before, 1);
  EXPECT_LT(before, 6);
  std::map<std::string, fs::file_time_type> times;
  for (const auto& entry : fs::directory_iterator(cache)) {
    if (entry.path().extension() == ".yaml") times[entry.path().string()] = fs::last_write_time(entry);
  }
  const ProgramRun rest = Run({"--plan", "plan.yaml"});
  EXPECT_EQ(rest.exit_code, whole.exit_code) << rest.err;
  EXPECT_EQ(kept(), 6);
  for (const auto& [file, time] : times) EXPECT_EQ(fs::last_write_time(file), time) << file << " was measured anew";
  EXPECT_EQ(ReadFile(folder_ / "out/review.csv"), ReadFile(folder_ / "whole/review.csv"));
  EXPECT_EQ(ReadFile(folder_ / "out/review.html"), ReadFile(folder_ / "whole/review.html"));
}

TEST_F(AClass, TakesCodesAndPassesFromCardsInRead) {
  WriteFile(folder_ / "plan.yaml", kPlan);
  WriteFile(folder_ / "other.yaml", other_);
  WriteFile(folder_ / "a.jpg", Sheet(kPlan, 1, 4));
  WriteFile(folder_ / "b.jpg", Sheet(kPlan, 2, 4));
  WriteFile(folder_ / "c.jpg", Sheet(other_, 3, 6));
  WriteFile(folder_ / "d.jpg", Sheet(kPlan, 1, 4, 2, true));
  WriteFile(folder_ / "e.jpg", Photo(4));
  WriteFile(folder_ / "f.jpg", Sheet(kPlan, 1, 4, 3));
  const ProgramRun run = RunTruepull({"read", "--plan", "plan.yaml", "--plan", "other.yaml", "a.jpg", "b.jpg", "c.jpg", "d.jpg", "e.jpg", "f.jpg", "--out", "out"}, folder_.path());
  EXPECT_EQ(run.exit_code, 3) << run.err;
  EXPECT_THAT(run.out, HasSubstr("sheet card: 04, pass first; plan: plan.yaml\n"));
  EXPECT_THAT(run.out, HasSubstr("sheet card: 06, pass first; plan: other.yaml\n"));
  EXPECT_THAT(run.err, HasSubstr("b.jpg: the code 04 is used twice, in a.jpg too: this one goes by 04-2\n"));
  EXPECT_THAT(run.err, HasSubstr("f.jpg: its card shows pass 3, and "));
  for (const char* file : {"04/first", "04-2/first", "06/first", "04/dark", "e"}) EXPECT_TRUE(fs::exists(folder_ / "out" / file / "reading.yaml")) << file;
}

TEST_F(Review, WritesTheRecordOfWhatThePrinterDecided) {
  MadeEdition made;
  made.sheets = 8;
  WriteReadings(made);
  WriteFile(folder_ / "photos/edition.yaml",
            "truepull: 1\ntitle: Harbour gulls\nproof: \"01\"\nwanted: 5\npapers: {smooth: {grain: x}}\nsheets:\n"
            "  - {code: \"01\", paper: smooth, decision: artist's proof, number: A.P. 1, date: 3 May}\n"
            "  - {code: \"02\", paper: smooth, decision: edition, number: 1/5, date: 4 May, note: a thumb print in the margin}\n"
            "  - {code: \"03\", paper: smooth, decision: reject}\n");
  EXPECT_EQ(Run().exit_code & ~3, 0);
  const std::string pdf = (folder_ / "out/record.pdf").string(), text = (folder_ / "text.txt").string();
  ASSERT_TRUE(fs::exists(pdf));
  ASSERT_EQ(std::system(("pdftotext -layout " + pdf + " " + text).c_str()), 0);
  const std::string words = ReadFile(text), page = ReadFile(folder_ / "out/record.html");
  for (const char* what : {"Harbour gulls", "A.P. 1", "1/5", "4 May", "reject", "smooth", "a thumb print in the margin", "1 of the edition, 1 artist", " proof, 1 reject"}) {
    EXPECT_THAT(words, HasSubstr(what));
    EXPECT_THAT(page, HasSubstr(what));
  }
}

}  // namespace
}  // namespace truepull::testing
