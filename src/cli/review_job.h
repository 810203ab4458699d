// SPDX-License-Identifier: Apache-2.0
// What `review` does, step by step: the files of a folder, their readings, the results.
#ifndef TRUEPULL_CLI_REVIEW_JOB_H_
#define TRUEPULL_CLI_REVIEW_JOB_H_

#include <filesystem>
#include <optional>
#include <string>
#include <vector>

#include "cli/command_context.h"
#include "cli/plan_choice.h"
#include "truepull/edition_text.h"
#include "truepull/plan.h"
#include "truepull/reading_cache.h"
#include "truepull/result.h"

namespace truepull {

struct ReviewOptions {
  std::vector<std::string> folders;
  std::vector<std::string> plans;    // Files.
  std::string edition;               // File; empty: edition.yaml in the folder, if there.
  SheetState sheet = SheetState::kUnknown;
  OutputOptions out;
};

/// One photo or reading of a folder, and what became of it.
struct ReviewItem {
  std::filesystem::path file;
  std::string shown;                 // Path inside the folder.
  bool is_reading = false;
  std::string key;                   // Of the contents.
  // Filled in by and by:
  std::optional<Reading> reading;
  std::string picture;               // Small picture, JPEG bytes.
  std::string code, pass = "first";
  FoundCard card;                    // The sheet card in the picture; number 0: none seen.
  std::string pass_wanted;           // Found by its colours: to be read anew as this pass.
  std::optional<std::size_t> same_as;  // A later pass of this item's sheet, by the hand's pattern.
  double burnt_out = 0;              // Share of the sheet that the light burnt out; 0 in readings.
  EditionEntry entry;                // What edition.yaml says; empty without it.
  std::string reason;                // Why it is not used; empty: it is.
  std::string plan_name;
};

/// Photos and readings in a folder and its folders, in natural order of name ("2" before
/// "10"). A folder with a reading.yaml is a reading, and its pictures are not photos; hidden
/// files and everything under `out` are passed over.
std::vector<ReviewItem> ItemsIn(const std::filesystem::path& folder, const std::filesystem::path& out);

/// Reads these items on all cores, from the cache where it can. What cannot be used has its
/// reason set; nothing else fails.
void ReadItems(std::vector<ReviewItem>& items, const std::vector<std::size_t>& which, const std::vector<NamedPlan>& plans, const EditionFile& edition,
               SheetState state, const ReadingCache& cache, bool quiet);
/// One of them: a photo by its card, edition.yaml and the plan that fits; or a reading.
void ReadPhotoItem(ReviewItem& item, const std::vector<NamedPlan>& plans, const EditionFile& edition, SheetState state, const ReadingCache& cache);
void ReadReadingItem(ReviewItem& item);

/// Finds photos of one sheet taken twice: by contents before reading, by likeness after.
void FindSameFiles(std::vector<ReviewItem>& items);
void FindSameSheets(std::vector<ReviewItem>& items);

/// Tells photos of a later pass by their colours, where nothing else says the pass, and finds
/// the sheet of those without a code by the hand's pattern (same_as); one that cannot be told
/// is not used. Gives the items that are to be read anew, as their `pass_wanted`.
std::vector<std::size_t> MatchLaterPasses(std::vector<ReviewItem>& items);

/// Takes from edition.yaml the plan of the card's code.
void TakeEntryOfCode(ReviewItem& item, const EditionFile& edition);

/// What naming the sheets left to say.
struct NamingNotes {
  std::vector<std::string> look;   // A code used twice, a doubtful card.
  std::vector<std::string> notes;  // Where the codes came from, and the like.
};
/// Gives every item its code and pass: by edition.yaml, then by its sheet card, then by the
/// sheet that it is a later pass of, then by the file's name. `edition` gives it the rest that it says of the sheet.
NamingNotes NameItems(std::vector<ReviewItem>& items, const EditionFile& edition);

}  // namespace truepull

#endif  // TRUEPULL_CLI_REVIEW_JOB_H_
