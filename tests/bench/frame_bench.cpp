// SPDX-License-Identifier: Apache-2.0
// How well the sheet's frame is found in rendered photos: error in mm over the sheet,
// honesty of the stated spread, and time. To be run by hand:
//   frame_bench [photos per kind = 6] [longer side, px = 4000] [kind ...]
#include <fmt/format.h>

#include <Eigen/Dense>
#include <algorithm>
#include <chrono>
#include <cmath>
#include <cstdlib>
#include <opencv2/imgcodecs.hpp>
#include <string>
#include <vector>

#include "support/sheets.h"
#include "truepull/photo.h"
#include "truepull/render.h"

namespace {

using namespace truepull;

struct Row {
  double rms_mm = 0, worst_mm = 0, z = 0, milliseconds = 0, side_px = 0;
};

double At(std::vector<double> values, double share) {
  std::sort(values.begin(), values.end());
  return values[static_cast<std::size_t>(share * double(values.size() - 1) + 0.5)];
}

void Run(const std::string& kind, int photos, int longer) {
  Plan plan = testing::DrawnRectangles();
  plan.colour_map = {{0, 1, 0, 1, 0, 1}, {1, 0, 1, 0, 1, 0}};
  std::vector<Row> rows;
  int refused = 0;
  for (int seed = 1; seed <= photos; ++seed) {
    auto options = OptionsLike(kind, static_cast<std::uint64_t>(seed));
    if (!options) continue;
    options->width_px = longer;
    options->height_px = longer * 3 / 4;
    options->threads = 1;
    const auto rendered = RenderSheet(plan, *options);
    if (!rendered) {
      fmt::print("{}: {}\n", kind, rendered.error().message);
      continue;
    }
    const auto bytes = EncodePhotoJpeg(rendered->bgr, 90, 1);
    if (!bytes) continue;
    Photo photo;
    photo.name = fmt::format("{}-{}.jpg", kind, seed);
    photo.bgr = cv::imdecode(std::vector<unsigned char>(bytes->begin(), bytes->end()), cv::IMREAD_COLOR);
    if (const char* folder = std::getenv("TRUEPULL_BENCH_KEEP")) cv::imwrite(fmt::format("{}/{}", folder, photo.name), photo.bgr);
    const auto start = std::chrono::steady_clock::now();
    const auto frame = FindSheet(photo, plan.sheet);
    Row row;
    row.milliseconds = std::chrono::duration<double, std::milli>(std::chrono::steady_clock::now() - start).count();
    if (!frame) {
      ++refused;
      fmt::print("  {}\n", frame.error().message);
      continue;
    }
    double squares = 0, z = 0;
    for (int i = 0; i < 81; ++i) {
      const Point mm{plan.sheet.width_mm * (i % 9) / 8, plan.sheet.height_mm * (i / 9) / 8};
      const Point off = frame->camera.SheetFromPhoto(rendered->camera.PhotoFromSheet(mm)) - mm;
      squares += Dot(off, off) / 81;
      row.worst_mm = std::max(row.worst_mm, Norm(off));
      const auto c = PlaceCovariance(*frame, mm);
      const Eigen::Matrix2d covariance{{c[0], c[1]}, {c[2], c[3]}};
      const Eigen::Vector2d d(off.x, off.y);
      z += 0.5 * d.dot(covariance.inverse() * d) / 81;
    }
    row.rms_mm = std::sqrt(squares / 2);  // Per axis.
    row.z = std::sqrt(z);
    row.side_px = frame->rms_side_px;
    fmt::print("  {:<14} rms {:.4f} worst {:.4f} mm, off by {:.2f} sd, sides {:.2f} px, k1 {:+.4f} (true {:+.4f}), {:.0f} ms\n",
               photo.name, row.rms_mm, row.worst_mm, row.z, row.side_px,
               frame->camera.k1, rendered->camera.k1 * std::pow(frame->camera.focal_px / rendered->camera.focal_px, 2), row.milliseconds);
    for (const auto& finding : frame->findings) fmt::print("      {}\n", finding);
    rows.push_back(row);
  }
  if (rows.empty()) return;
  std::vector<double> rms, worst, z, ms;
  for (const Row& row : rows) {
    rms.push_back(row.rms_mm);
    worst.push_back(row.worst_mm);
    z.push_back(row.z);
    ms.push_back(row.milliseconds);
  }
  fmt::print("{:<8} photos {} refused {} | rms per axis mm: median {:.4f} 95 % {:.4f} | worst place mm: median {:.4f} most {:.4f} | off by sd: median {:.2f} most {:.2f} | ms: median {:.0f}\n",
             kind, rows.size() + static_cast<std::size_t>(refused), refused, At(rms, 0.5), At(rms, 0.95), At(worst, 0.5), At(worst, 1), At(z, 0.5), At(z, 1), At(ms, 0.5));
}

}  // namespace

int main(int count, char** words) {
  const int photos = count > 1 ? std::atoi(words[1]) : 6;
  const int longer = count > 2 ? std::atoi(words[2]) : 4000;
  std::vector<std::string> kinds(words + std::min(count, 3), words + count);
  if (kinds.empty()) kinds = {"easy", "typical", "hard"};
  for (const std::string& kind : kinds) Run(kind, photos, longer);
  return 0;
}
