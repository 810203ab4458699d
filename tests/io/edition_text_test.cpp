// SPDX-License-Identifier: Apache-2.0
// edition.yaml: what it holds, and what it is refused with, to the letter.
#include "truepull/edition_text.h"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

namespace truepull::testing {
namespace {

std::string Refused(const std::string& text) {
  const auto edition = ParseEdition(text, "edition.yaml");
  if (edition) return "accepted";
  return edition.error().message.substr(0, edition.error().message.find('\n')) + (edition.error().hint.empty() ? "" : " | " + edition.error().hint);
}

TEST(EditionText, HoldsEverythingThatAReviewGoesBy) {
  const auto e = ParseEdition(
      "truepull: 1\nkind: edition\ntitle: Harbour gulls\nproof: \"03\"\nwanted: 12\nfree_register: true\n"
      "thresholds: {fine: 0.4, good: 0.8, least: 0.05, false_alarms: 0.02, blur: 0.6, unsure: 0.3, tilt: 2, weak_share: 0.5}\n"
      "weights: {register: 2, colour: 0.5, coverage: 0}\n"
      "papers:\n  smooth: {grain: y, stretch: {along_grain: 0.2, across_grain: 1.4}}\n  rough: {}\n"
      "sheets:\n"
      "  - {code: \"03\", photo: a.jpg, order: 2, paper: smooth, whose: K1, decision: artist's proof, number: A.P. 1, date: May, note: \"pale, but so\"}\n"
      "  - {code: \"03\", pass: dark, photo: b.jpg, order: 2, plan: gulls.yaml}\n",
      "edition.yaml");
  ASSERT_TRUE(e) << e.error().message;
  const EditionSettings& s = e->settings;
  EXPECT_EQ(s.title, "Harbour gulls");
  EXPECT_EQ(s.proof, "03");
  EXPECT_EQ(s.wanted, 12);
  EXPECT_TRUE(s.free_register);
  EXPECT_EQ(s.thresholds.fine_mm, 0.4);
  EXPECT_EQ(s.thresholds.level, 0.02);
  EXPECT_EQ(s.weight_register, 2);
  EXPECT_EQ(s.weight_coverage, 0);
  ASSERT_EQ(s.papers.size(), 2u);
  EXPECT_EQ(s.papers[0].grain, Grain::kY);
  EXPECT_EQ(s.papers[0].stretch_across_percent, 1.4);
  ASSERT_EQ(e->sheets.size(), 2u);
  EXPECT_EQ(e->sheets[0].decision, Decision::kArtistsProof);
  EXPECT_EQ(e->sheets[0].number, "A.P. 1");
  EXPECT_EQ(e->sheets[1].pass, "dark");
  EXPECT_EQ(e->sheets[1].plan, "gulls.yaml");
}

TEST(EditionText, IsRefusedAtItsPlaceInPlainWords) {
  EXPECT_EQ(Refused("truepull: 1\n"), "accepted");
  EXPECT_EQ(Refused("title: x\n"), "edition.yaml:1:1: truepull is missing");
  EXPECT_EQ(Refused("truepull: 2\n"), "edition.yaml:1:11: truepull must be 1, not 2 | this program reads version 1 of the format");
  EXPECT_EQ(Refused("truepull: 1\nproofs: 3\n"), "edition.yaml:2:1: proofs is not a key that is known here | did you mean proof?");
  EXPECT_EQ(Refused("truepull: 1\nthresholds: {fine: 1, good: 0.5}\n"), "edition.yaml:2:29: thresholds.good must be 1 (fine) or more, not 0.5");
  EXPECT_EQ(Refused("truepull: 1\nsheets:\n  - {order: 1}\n"),
            "edition.yaml:3:5: sheets[0] does not say which sheet it is about | give code: or photo:, or both");
  EXPECT_EQ(Refused("truepull: 1\nsheets:\n  - {code: a, photo: x.jpg}\n  - {code: b, photo: x.jpg}\n"),
            "edition.yaml:4:22: sheets[1].photo stands in sheets[0] already: x.jpg | name each photo once");
  EXPECT_EQ(Refused("truepull: 1\nsheets:\n  - {code: a}\n  - {code: a}\n"),
            "edition.yaml:4:12: sheets[1].code is used by sheets[0] already: a | give every sheet a code of its own; a later pass of the same sheet names its pass");
  EXPECT_EQ(Refused("truepull: 1\nsheets:\n  - {code: a, order: 1}\n  - {code: b, order: 1}\n"), "edition.yaml:4:22: sheets[1].order is that of sheets[0] already: 1");
  EXPECT_EQ(Refused("truepull: 1\nsheets:\n  - {code: a, paper: smooth}\n"),
            "edition.yaml:3:22: sheets[0].paper is not among papers: smooth | describe it under papers:");
}

}  // namespace
}  // namespace truepull::testing
