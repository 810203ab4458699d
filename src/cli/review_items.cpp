// SPDX-License-Identifier: Apache-2.0
#include <fmt/format.h>

#include <algorithm>
#include <cctype>
#include <map>
#include <set>
#include <system_error>

#include "cli/review_job.h"
#include "truepull/io.h"
#include "truepull/photo_file.h"

namespace truepull {
namespace {

namespace fs = std::filesystem;

// "sheet-2" before "sheet-10": runs of digits are compared as numbers.
bool NaturalLess(const std::string& a, const std::string& b) {
  std::size_t i = 0, j = 0;
  const auto digit = [](char c) { return std::isdigit(static_cast<unsigned char>(c)) != 0; };
  while (i < a.size() && j < b.size()) {
    if (digit(a[i]) && digit(b[j])) {
      std::size_t p = i, q = j;
      while (p < a.size() && a[p] == '0') ++p;
      while (q < b.size() && b[q] == '0') ++q;
      std::size_t m = p, n = q;
      while (m < a.size() && digit(a[m])) ++m;
      while (n < b.size() && digit(b[n])) ++n;
      if (m - p != n - q) return m - p < n - q;
      const int order = a.compare(p, m - p, b, q, n - q);
      if (order != 0) return order < 0;
      i = m, j = n;
    } else {
      if (a[i] != b[j]) return a[i] < b[j];
      ++i, ++j;
    }
  }
  return a.size() - i != b.size() - j ? a.size() - i < b.size() - j : a < b;
}

std::string Ending(const fs::path& path) {
  std::string end = path.extension().string();
  std::transform(end.begin(), end.end(), end.begin(), [](unsigned char c) { return static_cast<char>(std::tolower(c)); });
  return end;
}

// Pictures that cannot be read are named with their reason, not passed over.
bool LooksLikePhoto(const fs::path& path) {
  if (HasPhotoName(path)) return true;
  const std::string end = Ending(path);
  for (const char* other : {".heic", ".heif", ".avif", ".gif", ".bmp", ".dng", ".jpe", ".jfif"}) {
    if (end == other) return true;
  }
  if (!end.empty() && end != ".") return false;
  // No ending: a photo by its first bytes (JPEG, PNG, TIFF, WebP).
  const auto head = ReadWholeFile(path);
  if (!head || head->size() < 12) return false;
  const std::string h = head->substr(0, 12);
  return h.compare(0, 3, "\xFF\xD8\xFF") == 0 || h.compare(1, 3, "PNG") == 0 || h.compare(0, 4, std::string("II*\0", 4)) == 0 ||
         h.compare(0, 4, std::string("MM\0*", 4)) == 0 || (h.compare(0, 4, "RIFF") == 0 && h.compare(8, 4, "WEBP") == 0);
}

bool LooksLikeReading(const fs::path& path) {
  if (Ending(path) != ".yaml") return false;
  if (path.filename() == "reading.yaml") return true;
  const auto text = ReadWholeFile(path, std::size_t{64} << 20);
  return text && text->find("\nkind: reading") != std::string::npos;
}

void Walk(const fs::path& folder, const std::string& shown, const fs::path& out, int depth, std::vector<ReviewItem>& items) {
  if (depth > 5) return;
  std::error_code ec;
  if (fs::equivalent(folder, out, ec)) return;
  std::vector<fs::path> entries;
  for (const auto& entry : fs::directory_iterator(folder, ec)) {
    if (entry.path().filename().string()[0] != '.') entries.push_back(entry.path());
  }
  std::sort(entries.begin(), entries.end(), [](const fs::path& a, const fs::path& b) {
     // "IMG_1" before "IMG_1 copy", whatever the endings.
    const std::string p = a.stem().string(), q = b.stem().string();
    return p != q ? NaturalLess(p, q) : a.filename() < b.filename();
  });
  const bool holds_reading = fs::is_regular_file(folder / "reading.yaml", ec);
  for (const fs::path& path : entries) {
    const std::string name = shown + path.filename().string();
    if (fs::is_directory(path, ec)) {
      Walk(path, name + "/", out, depth + 1, items);
    } else if (fs::is_regular_file(path, ec)) {
      const bool reading = LooksLikeReading(path);
      if (!reading && (holds_reading || !LooksLikePhoto(path))) continue;
      ReviewItem item;
      item.file = path, item.shown = name, item.is_reading = reading;
      items.push_back(std::move(item));
    }
  }
}

std::string CodeFor(const ReviewItem& item) {
  const fs::path shown(item.shown);
  if (item.is_reading && shown.filename() == "reading.yaml") {
    // OUT/CODE/PASS/reading.yaml, or FOLDER/NAME/reading.yaml.
    const fs::path parent = shown.parent_path();
    if (parent.empty()) {
      const std::string folder = fs::absolute(item.file).lexically_normal().parent_path().filename().string();
      return folder.empty() ? "sheet" : folder;
    }
    if (parent.filename() == item.pass && parent.has_parent_path()) return parent.parent_path().filename().string();
    return parent.filename().string();
  }
  return shown.stem().string();
}

// A code is a folder's name too.
std::string Tidy(std::string code) {
  for (char& c : code) {
    if (c == '/' || c == '\\' || static_cast<unsigned char>(c) < 0x20) c = '-';
  }
  while (!code.empty() && code[0] == '.') code.erase(0, 1);
  return code.empty() ? "sheet" : code;
}

}  // namespace

std::vector<ReviewItem> ItemsIn(const fs::path& folder, const fs::path& out) {
  std::vector<ReviewItem> items;
  Walk(folder, "", out, 0, items);
  return items;
}

void TakeEntryOfCode(ReviewItem& item, const EditionFile& edition) {
  const std::string code = CodeOfCard(item.card);
  if (code.empty() || !item.entry.plan.empty()) return;
  for (const EditionEntry& e : edition.sheets) {
    if (e.code == code && !e.plan.empty()) item.entry.plan = e.plan;
  }
}

NamingNotes NameItems(std::vector<ReviewItem>& items, const EditionFile& edition) {
  NamingNotes out;
  std::vector<std::string>& notes = out.notes;
  std::map<std::string, int> stems, names;
  for (const ReviewItem& item : items) ++stems[CodeFor(item) + '\n' + item.pass], ++names[std::filesystem::path(item.shown).filename().string()];
  std::vector<char> found(edition.sheets.size(), 0);
  bool by_card = false, by_name = false, by_pattern = false;
  for (ReviewItem& item : items) {
    const std::string file = std::filesystem::path(item.shown).filename().string();
    for (std::size_t k = 0; k < edition.sheets.size(); ++k) {
      const EditionEntry& e = edition.sheets[k];
      if (e.photo.empty() || (e.photo != item.shown && !(e.photo == file && names[file] == 1))) continue;
      item.entry = e, found[k] = 1;
    }
    std::string code = item.entry.code;
    if (code.empty() && !CodeOfCard(item.card).empty()) {
      code = CodeOfCard(item.card);
      by_card = true;
    }
    if (code.empty() && item.same_as) {   // Set below, once that sheet has its code.
      by_pattern = true;
      continue;
    }
    if (code.empty()) {
      code = CodeFor(item);
      if (stems[code + '\n' + item.pass] > 1) {  // photo.jpg in every folder: the folder tells them apart.
        const std::string parent = std::filesystem::path(item.shown).parent_path().filename().string();
        if (!parent.empty()) code = parent;
      }
      by_name = true;
    }
    item.code = Tidy(code);
  }
  for (ReviewItem& item : items) {
    if (item.entry.code.empty() && CodeOfCard(item.card).empty() && item.same_as) item.code = items[*item.same_as].code;
    if (!item.entry.pass.empty()) item.pass = item.entry.pass;
    // An entry that only names a code still says whose sheet it is, and the like.
    if (!item.entry.code.empty()) continue;
    for (std::size_t k = 0; k < edition.sheets.size(); ++k) {
      const EditionEntry& e = edition.sheets[k];
      if (e.photo.empty() && e.code == item.code && (e.pass.empty() ? "first" : e.pass) == item.pass) item.entry = e, found[k] = 1;
    }
  }
  for (std::size_t k = 0; k < found.size(); ++k) {
    if (found[k] != 0) continue;
    const EditionEntry& e = edition.sheets[k];
    notes.push_back(e.photo.empty() ? fmt::format("edition.yaml speaks of sheet {}, and no photo of it is here", e.code)
                                    : fmt::format("edition.yaml names the photo {}, which is not here", e.photo));
  }
  std::set<std::string> taken;
  for (ReviewItem& item : items) {
    if (!item.reason.empty()) continue;
    const std::string code = item.code;
    for (int k = 2; !taken.insert(item.code + '\n' + item.pass).second; ++k) item.code = fmt::format("{}-{}", code, k);
    if (item.card.doubtful) out.look.push_back(fmt::format("{} shows cards with different numbers: say its code in edition.yaml", item.shown));
    // Which of the two edition.yaml means is not for the program to guess: the second gets nothing of it.
    if (item.code != code && item.entry.photo.empty()) item.entry = {};
    if (item.code != code) out.look.push_back(fmt::format("the code {} is used twice: {} goes by {}", code, item.shown, item.code));
  }
  // What is said once of a sheet holds for all its passes.
  for (ReviewItem& item : items) {
    for (const EditionEntry& e : edition.sheets) {
      if (e.code != item.code) continue;
      if (item.entry.whose.empty()) item.entry.whose = e.whose;
      if (item.entry.paper.empty()) item.entry.paper = e.paper;
    }
  }
  if (by_card) notes.push_back("codes were read from the sheet cards");
  if (by_pattern) notes.push_back("later passes without a card were matched to their sheets by the pattern of the hand");
  if (by_name) notes.push_back("codes are the photos' names where no card and no edition.yaml gives one: keep people's names out of them");
  return out;
}

}  // namespace truepull
