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
  std::sort(entries.begin(), entries.end(), [](const fs::path& a, const fs::path& b) { return NaturalLess(a.filename().string(), b.filename().string()); });
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
    if (parent.filename() == "first" && parent.has_parent_path()) return parent.parent_path().filename().string();
    return parent.filename().string();
  }
  return shown.stem().string();
}

// The plan's name for the pass of a card; the first pass is the plan itself.
std::string PassName(const ReviewItem& item) {
  const auto k = static_cast<std::size_t>(item.card_pass - 2);
  if (item.reading && k < item.reading->plan.passes.size()) return item.reading->plan.passes[k].name;
  return fmt::format("pass-{}", item.card_pass);
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

void FindSameFiles(std::vector<ReviewItem>& items) {
  std::map<std::string, std::size_t> seen;
  for (std::size_t i = 0; i < items.size(); ++i) {
    if (!items[i].reason.empty() || items[i].key.empty()) continue;
    const auto [before, fresh] = seen.emplace(items[i].key, i);
    if (!fresh) items[i].reason = fmt::format("is the same file as {}", items[before->second].shown);
  }
}

void FindSameSheets(std::vector<ReviewItem>& items) {
  std::vector<std::size_t> used;
  for (std::size_t i = 0; i < items.size(); ++i) {
    if (items[i].reason.empty() && items[i].reading) used.push_back(i);
  }
  std::vector<double> differences;
  for (std::size_t a = 0; a < used.size(); ++a) {
    for (std::size_t b = a + 1; b < used.size() && differences.size() < 5000; ++b) {
      const double d = CompareSheets(*items[used[a]].reading, *items[used[b]].reading, 0).difference_mm;
      if (d >= 0) differences.push_back(d);
    }
  }
  double usual = 0;
  if (differences.size() >= 3) {
    std::sort(differences.begin(), differences.end());
    usual = differences[differences.size() * 3 / 4];
  }
  const auto unsure = [&](std::size_t i) {
    double sum = 0;
    for (const SiteReading& s : items[i].reading->sheet.sites) sum += s.state == SiteState::kMissing ? 1 : s.covariance[0] + s.covariance[4];
    return sum;
  };
  for (std::size_t a = 0; a < used.size(); ++a) {
    for (std::size_t b = a + 1; b < used.size(); ++b) {
      ReviewItem &p = items[used[a]], &q = items[used[b]];
      if (!p.reason.empty() || !q.reason.empty() || p.pass != q.pass) continue;
      if (!p.entry.code.empty() && !q.entry.code.empty()) continue;  // The printer says that they are two.
      if (!CompareSheets(*p.reading, *q.reading, usual).same) continue;
      ReviewItem& worse = unsure(used[b]) < unsure(used[a]) ? p : q;
      const ReviewItem& better = &worse == &p ? q : p;
      worse.reason = fmt::format("shows the same sheet as {}, which is measured better", better.shown);
    }
  }
}

NamingNotes NameItems(std::vector<ReviewItem>& items, const EditionFile& edition) {
  NamingNotes out;
  std::vector<std::string>& notes = out.notes;
  std::map<std::string, int> stems, names;
  for (const ReviewItem& item : items) ++stems[CodeFor(item)], ++names[std::filesystem::path(item.shown).filename().string()];
  std::vector<char> found(edition.sheets.size(), 0);
  bool by_card = false, by_name = false;
  for (ReviewItem& item : items) {
    const std::string file = std::filesystem::path(item.shown).filename().string();
    for (std::size_t k = 0; k < edition.sheets.size(); ++k) {
      const EditionEntry& e = edition.sheets[k];
      if (e.photo.empty() || (e.photo != item.shown && !(e.photo == file && names[file] == 1))) continue;
      item.entry = e, found[k] = 1;
    }
    std::string code = item.entry.code;
    if (code.empty() && item.card_number > 0 && !item.card_doubtful) {
      code = fmt::format("{:02}", item.card_number);
      by_card = true;
    }
    if (code.empty()) {
      code = CodeFor(item);
      if (stems[code] > 1) {  // photo.jpg in every folder: the folder tells them apart.
        const std::string parent = std::filesystem::path(item.shown).parent_path().filename().string();
        if (!parent.empty()) code = parent;
      }
      by_name = true;
    }
    item.code = Tidy(code);
    if (!item.entry.pass.empty()) item.pass = item.entry.pass;
    else if (item.card_pass > 1 && !item.card_doubtful) item.pass = PassName(item);
    // An entry that only names a code still says whose sheet it is, and the like.
    if (item.entry.code.empty()) {
      for (std::size_t k = 0; k < edition.sheets.size(); ++k) {
        const EditionEntry& e = edition.sheets[k];
        if (e.photo.empty() && e.code == item.code && (e.pass.empty() ? "first" : e.pass) == item.pass) item.entry = e, found[k] = 1;
      }
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
    if (item.card_doubtful) out.look.push_back(fmt::format("{} shows cards with different numbers: say its code in edition.yaml", item.shown));
    if (item.code != code) out.look.push_back(fmt::format("the code {} is used twice: {} goes by {}", code, item.shown, item.code));
  }
  if (by_card) notes.push_back("codes were read from the sheet cards");
  if (by_name) notes.push_back("codes are the photos' names where no card and no edition.yaml gives one: keep people's names out of them");
  return out;
}

}  // namespace truepull
