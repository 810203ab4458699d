// SPDX-License-Identifier: Apache-2.0
#include "draw/pdf_finish.h"

// qpdf asks which of its pointer types is meant: std::shared_ptr.
#define POINTERHOLDER_TRANSITION 4
#include <exception>
#include <memory>
#include <qpdf/QPDF.hh>
#include <qpdf/QPDFObjectHandle.hh>
#include <qpdf/QPDFPageDocumentHelper.hh>
#include <qpdf/QPDFPageObjectHelper.hh>
#include <qpdf/QPDFWriter.hh>

namespace truepull {

Result<std::string> FinishPdf(const std::string& bytes, const std::string& title) {
  try {
    QPDF pdf;
    pdf.setSuppressWarnings(true);
    pdf.processMemoryFile("guide", bytes.data(), bytes.size());

    auto root = pdf.getRoot();
    auto viewer = QPDFObjectHandle::newDictionary();
    viewer.replaceKey("/PrintScaling", QPDFObjectHandle::newName("/None"));
    viewer.replaceKey("/DisplayDocTitle", QPDFObjectHandle::newBool(true));
    viewer.replaceKey("/PickTrayByPDFSize", QPDFObjectHandle::newBool(true));
    root.replaceKey("/ViewerPreferences", viewer);
    root.replaceKey("/Lang", QPDFObjectHandle::newString("en"));

    for (auto& page : QPDFPageDocumentHelper(pdf).getAllPages()) {
      auto object = page.getObjectHandle();
      auto media = object.getKey("/MediaBox");
      for (const char* box : {"/CropBox", "/TrimBox"}) object.replaceKey(box, media.shallowCopy());
      object.removeKey("/UserUnit");
    }

    // A date would make two equal guides differ.
    auto info = QPDFObjectHandle::newDictionary();
    info.replaceKey("/Title", QPDFObjectHandle::newUnicodeString(title));
    info.replaceKey("/Creator", QPDFObjectHandle::newUnicodeString("truepull"));
    pdf.getTrailer().replaceKey("/Info", pdf.makeIndirectObject(info));

    QPDFWriter writer(pdf);
    writer.setOutputMemory();
    writer.setDeterministicID(true);
    writer.setMinimumPDFVersion("1.6");  // PrintScaling came with 1.6.
    writer.write();
    const std::shared_ptr<Buffer> out = writer.getBufferSharedPointer();
    return std::string(reinterpret_cast<const char*>(out->getBuffer()), out->getSize());
  } catch (const std::exception& e) {
    return Error{ErrorCode::kCannotWrite, std::string("the guide's PDF could not be finished: ") + e.what(), ""};
  }
}

}  // namespace truepull
