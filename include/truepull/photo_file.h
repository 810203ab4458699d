// SPDX-License-Identifier: Apache-2.0
// Photo files: from bytes to an upright picture, or one plain sentence why not.
#ifndef TRUEPULL_PHOTO_FILE_H_
#define TRUEPULL_PHOTO_FILE_H_

#include <filesystem>
#include <string>
#include <string_view>

#include "truepull/photo.h"
#include "truepull/result.h"

namespace truepull {

/// Decodes a photo: JPEG, HEIC or AVIF, PNG, TIFF or WebP, 8 or 16 bits, made upright by its
/// EXIF orientation (all eight, the mirrored ones too; a HEIC by its own turns), its colours
/// turned to sRGB where it holds a colour profile. Nothing of the file's other data
/// (place, device, time) is kept.
///
/// bytes  The whole file.
/// name   For messages and Photo::name; folders are left out.
///
/// The size is read from the file's head before anything is decoded. Fails with
/// kPhotoUnusable: not such a file, cut short, over 100 megapixels or under 200 pixels a
/// side. `focal_px` is set from the 35 mm equivalent where the file gives one and has
/// not been cropped since.
Result<Photo> DecodePhoto(std::string_view bytes, const std::string& name);

/// Reads and decodes a photo file. Fails with kUnreadableFile or as DecodePhoto does.
Result<Photo> LoadPhoto(const std::filesystem::path& path);

/// Whether a file's name ends like a photo's (.jpg, .jpeg, .heic, .heif, .avif, .png, .tif,
/// .tiff, .webp, in any case): which files of a folder are taken for photos.
bool HasPhotoName(const std::filesystem::path& path);

}  // namespace truepull

#endif  // TRUEPULL_PHOTO_FILE_H_
