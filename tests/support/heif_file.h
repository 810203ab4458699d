// SPDX-License-Identifier: Apache-2.0
// HEIC and AVIF files for tests.
#ifndef TRUEPULL_TESTS_SUPPORT_HEIF_FILE_H_
#define TRUEPULL_TESTS_SUPPORT_HEIF_FILE_H_

#include <libheif/heif.h>

#include <cstdint>
#include <opencv2/imgproc.hpp>
#include <string>

namespace truepull::testing {

/// The picture (CV_8UC3) as a HEIC (heif_compression_HEVC) or AVIF (heif_compression_AV1) file, with a colour profile
/// or colours by numbers; empty where the library has no encoder for it.
inline std::string HeifFile(const cv::Mat& bgr, heif_compression_format format, const std::string& icc = "", bool p3_by_numbers = false,
                            heif_orientation orientation = heif_orientation_normal) {
  heif_context* context = heif_context_alloc();
  heif_encoder* encoder = nullptr;
  std::string bytes;
  if (heif_context_get_encoder_for_format(context, format, &encoder).code == heif_error_Ok) {
    heif_encoder_set_lossy_quality(encoder, 95);
    heif_encoder_set_parameter_string(encoder, "chroma", "444");
    heif_image* image = nullptr;
    heif_image_create(bgr.cols, bgr.rows, heif_colorspace_RGB, heif_chroma_interleaved_RGB, &image);
    heif_image_add_plane(image, heif_channel_interleaved, bgr.cols, bgr.rows, 8);
    int stride = 0;
    std::uint8_t* to = heif_image_get_plane(image, heif_channel_interleaved, &stride);
    cv::Mat rgb(bgr.rows, bgr.cols, CV_8UC3, to, static_cast<std::size_t>(stride));
    cv::cvtColor(bgr, rgb, cv::COLOR_BGR2RGB);
    if (!icc.empty()) heif_image_set_raw_color_profile(image, "prof", icc.data(), icc.size());
    heif_color_profile_nclx* nclx = heif_nclx_color_profile_alloc();
    nclx->color_primaries = p3_by_numbers ? heif_color_primaries_SMPTE_EG_432_1 : heif_color_primaries_ITU_R_BT_709_5;
    nclx->transfer_characteristics = heif_transfer_characteristic_IEC_61966_2_1;
    nclx->matrix_coefficients = heif_matrix_coefficients_ITU_R_BT_601_6;
    nclx->full_range_flag = 1;
    if (icc.empty()) heif_image_set_nclx_color_profile(image, nclx);
    heif_encoding_options* options = heif_encoding_options_alloc();
    options->image_orientation = orientation;
    if (icc.empty()) options->output_nclx_profile = nclx;
    options->macOS_compatibility_workaround_no_nclx_profile = 0;
    heif_image_handle* handle = nullptr;
    heif_context_encode_image(context, image, encoder, options, &handle);
    heif_image_handle_release(handle);
    heif_encoding_options_free(options);
    heif_nclx_color_profile_free(nclx);
    heif_image_release(image);
    heif_encoder_release(encoder);
    heif_writer writer{1, [](heif_context*, const void* data, std::size_t size, void* into) {
                         static_cast<std::string*>(into)->assign(static_cast<const char*>(data), size);
                         return heif_error{heif_error_Ok, heif_suberror_Unspecified, ""};
                       }};
    heif_context_write(context, &writer, &bytes);
  }
  heif_context_free(context);
  return bytes;
}

}  // namespace truepull::testing

#endif  // TRUEPULL_TESTS_SUPPORT_HEIF_FILE_H_
