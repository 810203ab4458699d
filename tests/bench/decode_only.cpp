// SPDX-License-Identifier: Apache-2.0
// Starts, decodes one photo, ends: what `truepull read` is timed against. It is linked
// with the same libraries (see CMakeLists.txt: none is dropped as unused), so both pay
// the same for loading them.
#include <cstdio>

#include "truepull/photo_file.h"

int main(int argc, char** argv) {
  if (argc != 2) return 2;
  const auto photo = truepull::LoadPhoto(argv[1]);
  if (!photo) {
    std::fprintf(stderr, "%s\n", photo.error().message.c_str());
    return 1;
  }
  return photo->bgr.empty() ? 1 : 0;
}
