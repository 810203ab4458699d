// SPDX-License-Identifier: Apache-2.0
// `truepull review`: good and bad photos, readings, streams, files and exit status.
#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <filesystem>
#include <opencv2/imgproc.hpp>
#include <sstream>

#include "edition/made_editions.h"
#include "support/harbour_plan.h"
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

}  // namespace
}  // namespace truepull::testing
