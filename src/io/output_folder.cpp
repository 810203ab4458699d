// SPDX-License-Identifier: Apache-2.0
#include <fstream>
#include <map>
#include <sstream>
#include <system_error>
#include <utility>

#include "truepull/io.h"

namespace truepull {
namespace {

constexpr const char* kRecord = ".truepull-files";

// FNV-1a, 64 bit: only tells a changed file from an unchanged one.
std::uint64_t Hash(std::string_view bytes) {
  std::uint64_t h = 14695981039346656037ull;
  for (const char c : bytes) h = (h ^ static_cast<unsigned char>(c)) * 1099511628211ull;
  return h;
}

using Record = std::map<std::string, std::pair<std::size_t, std::uint64_t>>;

Record ReadRecord(const std::filesystem::path& folder) {
  Record record;
  std::ifstream in(folder / kRecord);
  std::string line;
  while (std::getline(in, line)) {
    std::istringstream words(line);
    std::size_t size = 0;
    std::uint64_t hash = 0;
    std::string name;
    if (words >> size >> hash && std::getline(words >> std::ws, name)) record[name] = {size, hash};
  }
  return record;
}

Error CannotWrite(const std::filesystem::path& path, const std::string& why) {
  return {ErrorCode::kCannotWrite, path.string() + ": cannot be written (" + why + ")",
          "choose another --out folder or make room"};
}

}  // namespace

Result<OutputFolder> OutputFolder::Open(const std::filesystem::path& folder, bool force) {
  OutputFolder out;
  out.folder_ = folder;
  out.force_ = force;
  std::error_code ec;
  std::vector<std::filesystem::path> missing;
  for (auto p = folder; !p.empty() && !std::filesystem::exists(p, ec); p = p.parent_path()) {
    missing.insert(missing.begin(), p);
    if (p == p.parent_path()) break;
  }
  for (const auto& p : missing) {
    if (p.filename().empty()) continue;  // "out/" names "out" twice.
    std::filesystem::create_directory(p, ec);
    if (ec) return CannotWrite(p, ec.message());
    out.made_.push_back(p);
  }
  if (!std::filesystem::is_directory(folder, ec)) {
    return CannotWrite(folder, "it is a file, not a folder");
  }
  return out;
}

OutputFolder::OutputFolder(OutputFolder&& other) noexcept { *this = std::move(other); }

OutputFolder& OutputFolder::operator=(OutputFolder&& other) noexcept {
  if (this != &other) {
    Discard();
    folder_ = std::move(other.folder_);
    made_ = std::exchange(other.made_, {});
    staged_ = std::exchange(other.staged_, {});
    force_ = other.force_;
  }
  return *this;
}

OutputFolder::~OutputFolder() { Discard(); }

void OutputFolder::Discard() noexcept {
  std::error_code ec;
  for (const Staged& s : staged_) std::filesystem::remove(s.temporary, ec);
  staged_.clear();
  // remove() leaves a folder alone that holds anything.
  for (auto it = made_.rbegin(); it != made_.rend(); ++it) std::filesystem::remove(*it, ec);
  made_.clear();
}

Status OutputFolder::Stage(const std::string& name, std::string_view bytes) {
  const std::filesystem::path target = folder_ / name;
  std::error_code ec;
  if (!force_ && std::filesystem::exists(target, ec)) {
    const Record record = ReadRecord(folder_);
    const auto it = record.find(name);
    const auto now = ReadWholeFile(target);
    const bool ours = it != record.end() && now && now->size() == it->second.first &&
                      Hash(*now) == it->second.second;
    if (!ours) {
      return Error{ErrorCode::kCannotWrite,
                   target.string() + ": is there already and " +
                       (it == record.end() ? "was not written by truepull"
                                           : "was changed since truepull wrote it"),
                   "choose another --out folder, move the file, or use --force to replace it"};
    }
  }
  Staged staged{name, folder_ / ("." + name + ".part"), bytes.size(), Hash(bytes)};
  std::ofstream file(staged.temporary, std::ios::binary | std::ios::trunc);
  file.write(bytes.data(), static_cast<std::streamsize>(bytes.size()));
  file.close();
  staged_.push_back(staged);
  if (!file) return CannotWrite(target, "writing stopped half-way");
  return Done{};
}

Status OutputFolder::Commit() {
  Record record = ReadRecord(folder_);
  std::error_code ec;
  for (const Staged& s : staged_) {
    std::filesystem::rename(s.temporary, folder_ / s.name, ec);
    if (ec) return CannotWrite(folder_ / s.name, ec.message());
    record[s.name] = {s.size, s.hash};
  }
  const std::filesystem::path temporary = folder_ / (std::string(kRecord) + ".part");
  std::ofstream file(temporary, std::ios::trunc);
  for (const auto& [name, what] : record) file << what.first << ' ' << what.second << ' ' << name << '\n';
  file.close();
  std::filesystem::rename(temporary, folder_ / kRecord, ec);
  staged_.clear();
  made_.clear();
  if (!file || ec) return CannotWrite(folder_ / kRecord, "the list of written files");
  return Done{};
}

std::vector<std::string> OutputFolder::names() const {
  std::vector<std::string> out;
  for (const Staged& s : staged_) out.push_back(s.name);
  return out;
}

}  // namespace truepull
