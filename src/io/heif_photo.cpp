// SPDX-License-Identifier: Apache-2.0
#include "io/heif_photo.h"

#include <libheif/heif.h>

#include <algorithm>
#include <cstring>
#include <opencv2/imgproc.hpp>

namespace truepull {
namespace {

template <typename T, void (*kFree)(T*)>
struct Freer {
  void operator()(T* p) const { kFree(p); }
};
void FreeHandle(heif_image_handle* h) { heif_image_handle_release(h); }
void FreeImage(heif_image* i) { heif_image_release(i); }
void FreeOptions(heif_decoding_options* o) { heif_decoding_options_free(o); }
using Context = std::unique_ptr<heif_context, Freer<heif_context, heif_context_free>>;
using Handle = std::unique_ptr<heif_image_handle, Freer<heif_image_handle, FreeHandle>>;
using Image = std::unique_ptr<heif_image, Freer<heif_image, FreeImage>>;
using Options = std::unique_ptr<heif_decoding_options, Freer<heif_decoding_options, FreeOptions>>;

constexpr std::size_t kLargestBlock = std::size_t{16} << 20;  // Of EXIF or a profile.

}  // namespace

struct HeifPhoto::Parts {
  Context context{heif_context_alloc()};
  Handle handle;
};

HeifPhoto::HeifPhoto(std::string_view bytes) : parts_(std::make_unique<Parts>()) {
  if (!parts_->context) return;
  if (heif_context_read_from_memory_without_copy(parts_->context.get(), bytes.data(), bytes.size(), nullptr).code != heif_error_Ok) return;
  heif_image_handle* handle = nullptr;
  if (heif_context_get_primary_image_handle(parts_->context.get(), &handle).code == heif_error_Ok) parts_->handle.reset(handle);
}

HeifPhoto::~HeifPhoto() = default;

bool HeifPhoto::usable() const { return parts_->handle != nullptr; }
int HeifPhoto::width_px() const { return usable() ? heif_image_handle_get_width(parts_->handle.get()) : 0; }
int HeifPhoto::height_px() const { return usable() ? heif_image_handle_get_height(parts_->handle.get()) : 0; }

std::string HeifPhoto::Exif() const {
  heif_item_id id = 0;
  if (!usable() || heif_image_handle_get_list_of_metadata_block_IDs(parts_->handle.get(), "Exif", &id, 1) < 1) return "";
  const std::size_t size = heif_image_handle_get_metadata_size(parts_->handle.get(), id);
  if (size < 12 || size > kLargestBlock) return "";
  std::string block(size, '\0');
  if (heif_image_handle_get_metadata(parts_->handle.get(), id, block.data()).code != heif_error_Ok) return "";
  // Four bytes say how far on the TIFF head lies (ISO/IEC 23008-12, annex A).
  std::size_t skip = 0;
  for (std::size_t i = 0; i < 4; ++i) skip = skip << 8 | static_cast<unsigned char>(block[i]);
  return skip > size - 4 ? "" : block.substr(4 + skip);
}

std::string HeifPhoto::Profile(bool& p3) const {
  p3 = false;
  if (!usable()) return "";
  const std::size_t size = heif_image_handle_get_raw_color_profile_size(parts_->handle.get());
  if (size > 0 && size <= kLargestBlock) {
    std::string profile(size, '\0');
    if (heif_image_handle_get_raw_color_profile(parts_->handle.get(), profile.data()).code == heif_error_Ok) return profile;
  }
  heif_color_profile_nclx* nclx = nullptr;
  if (heif_image_handle_get_nclx_color_profile(parts_->handle.get(), &nclx).code == heif_error_Ok && nclx) {
    p3 = nclx->color_primaries == heif_color_primaries_SMPTE_EG_432_1;
    heif_nclx_color_profile_free(nclx);
  }
  return "";
}

cv::Mat HeifPhoto::Decode() const {
  if (!usable()) return {};
  const Options options(heif_decoding_options_alloc());
  options->convert_hdr_to_8bit = 1;
  heif_image* decoded = nullptr;
  if (heif_decode_image(parts_->handle.get(), &decoded, heif_colorspace_RGB, heif_chroma_interleaved_RGB, options.get()).code != heif_error_Ok) return {};
  const Image image(decoded);
  int stride = 0;
  const std::uint8_t* from = heif_image_get_plane_readonly(image.get(), heif_channel_interleaved, &stride);
  const int width = heif_image_get_width(image.get(), heif_channel_interleaved), height = heif_image_get_height(image.get(), heif_channel_interleaved);
  if (!from || width <= 0 || height <= 0 || stride < 3 * width) return {};
  const cv::Mat rgb(height, width, CV_8UC3, const_cast<std::uint8_t*>(from), static_cast<std::size_t>(stride));  // Only read.
  cv::Mat bgr;
  cv::cvtColor(rgb, bgr, cv::COLOR_RGB2BGR);
  return bgr;
}

}  // namespace truepull
