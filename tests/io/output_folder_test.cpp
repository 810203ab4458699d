// SPDX-License-Identifier: Apache-2.0
// Results are written all or nothing, and nobody else's file is overwritten.
#include <gmock/gmock.h>
#include <gtest/gtest.h>
#include <unistd.h>

#include <fstream>

#include "truepull/io.h"

namespace truepull {
namespace {

namespace fs = std::filesystem;
using ::testing::HasSubstr;

class OutputFolderTest : public ::testing::Test {
 protected:
  OutputFolderTest() {
    std::string name = (fs::temp_directory_path() / "truepull-test-XXXXXX").string();
    base_ = mkdtemp(name.data());
  }
  ~OutputFolderTest() override { fs::remove_all(base_); }

  static void Write(const fs::path& path, const std::string& text) { std::ofstream(path) << text; }
  static std::string Read(const fs::path& path) { return ReadWholeFile(path).value(); }

  Status Put(const fs::path& folder, const std::string& name, const std::string& text, bool force = false) {
    auto out = OutputFolder::Open(folder, force);
    if (!out) return out.error();
    if (const Status staged = out->Stage(name, text); !staged) return staged;
    return out->Commit();
  }

  fs::path base_;
};

TEST_F(OutputFolderTest, MakesFoldersAndWritesFiles) {
  ASSERT_TRUE(Put(base_ / "a/b/", "drift.csv", "1,2\n"));
  EXPECT_EQ(Read(base_ / "a/b/drift.csv"), "1,2\n");
}

TEST_F(OutputFolderTest, LeavesNothingBehindWithoutCommit) {
  {
    auto out = OutputFolder::Open(base_ / "a/b", false);
    ASSERT_TRUE(out);
    ASSERT_TRUE(out->Stage("drift.csv", "1"));
    EXPECT_THAT(out->names(), ::testing::ElementsAre("drift.csv"));
  }
  EXPECT_TRUE(fs::is_empty(base_));
}

TEST_F(OutputFolderTest, KeepsAFolderThatWasThereBefore) {
  fs::create_directory(base_ / "kept");
  { auto out = OutputFolder::Open(base_ / "kept/new", false); ASSERT_TRUE(out); }
  EXPECT_TRUE(fs::exists(base_ / "kept"));
  EXPECT_FALSE(fs::exists(base_ / "kept/new"));
}

TEST_F(OutputFolderTest, ReplacesItsOwnFilesAndNobodyElses) {
  ASSERT_TRUE(Put(base_, "drift.csv", "one"));
  ASSERT_TRUE(Put(base_, "drift.csv", "two"));
  EXPECT_EQ(Read(base_ / "drift.csv"), "two");
  Write(base_ / "notes.txt", "mine");
  const Status refused = Put(base_, "notes.txt", "ours");
  ASSERT_FALSE(refused);
  EXPECT_EQ(refused.error().code, ErrorCode::kCannotWrite);
  EXPECT_THAT(refused.error().message, HasSubstr("is there already and was not written by truepull"));
  EXPECT_EQ(Read(base_ / "notes.txt"), "mine");
  ASSERT_TRUE(Put(base_, "notes.txt", "ours", true));
  EXPECT_EQ(Read(base_ / "notes.txt"), "ours");
}

TEST_F(OutputFolderTest, KeepsAFileOfItsOwnThatSomeoneChanged) {
  ASSERT_TRUE(Put(base_, "corrections.yaml", "one"));
  Write(base_ / "corrections.yaml", "One");  // Of the same length.
  const Status refused = Put(base_, "corrections.yaml", "two");
  ASSERT_FALSE(refused);
  EXPECT_THAT(refused.error().message, HasSubstr("was changed since truepull wrote it"));
  EXPECT_EQ(Read(base_ / "corrections.yaml"), "One");
}

TEST_F(OutputFolderTest, WritesNoneWhenOneOfThemIsRefused) {
  Write(base_ / "guide.svg", "mine");
  {
    auto out = OutputFolder::Open(base_, false);
    ASSERT_TRUE(out);
    ASSERT_TRUE(out->Stage("guide.pdf", "ours"));
    EXPECT_FALSE(out->Stage("guide.svg", "ours"));
  }
  EXPECT_FALSE(fs::exists(base_ / "guide.pdf"));
  EXPECT_EQ(std::distance(fs::directory_iterator(base_), {}), 1);
}

TEST_F(OutputFolderTest, RefusesAFileWhereTheFolderShouldBe) {
  Write(base_ / "out", "x");
  const auto out = OutputFolder::Open(base_ / "out", false);
  ASSERT_FALSE(out);
  EXPECT_THAT(out.error().message, HasSubstr("it is a file, not a folder"));
  EXPECT_FALSE(OutputFolder::Open(base_ / "out/deeper", false));
}

TEST_F(OutputFolderTest, PassesItsDutiesOnWhenMoved) {
  {
    auto first = OutputFolder::Open(base_ / "a", false);
    ASSERT_TRUE(first);
    ASSERT_TRUE(first->Stage("x", "1"));
    OutputFolder second = std::move(*first);
    ASSERT_TRUE(second.Commit());
  }
  EXPECT_EQ(Read(base_ / "a/x"), "1");
}

TEST_F(OutputFolderTest, WritesEmptyFilesAndNamesWithSpaces) {
  ASSERT_TRUE(Put(base_, "my sheet.svg", ""));
  ASSERT_TRUE(Put(base_, "my sheet.svg", "x"));
  EXPECT_EQ(Read(base_ / "my sheet.svg"), "x");
}

TEST(ReadWholeFile, SaysWhyNot) {
  const auto missing = ReadWholeFile("/no/such/file.yaml");
  ASSERT_FALSE(missing);
  EXPECT_EQ(missing.error().message, "/no/such/file.yaml: there is no such file");
  const auto folder = ReadWholeFile(fs::temp_directory_path());
  ASSERT_FALSE(folder);
  EXPECT_THAT(folder.error().message, HasSubstr("is a folder, not a file"));
  const auto large = ReadWholeFile("/proc/self/exe", 1000);
  ASSERT_FALSE(large);
  EXPECT_THAT(large.error().message, HasSubstr("is larger than"));
}

}  // namespace
}  // namespace truepull
