// The emitters: a document in, text out. No disk, no clock, no locale; the same document gives the
// same bytes.
#pragma once

#include <cstddef>
#include <string>
#include <string_view>
#include <utility>
#include <vector>

#include "base/function_ref.h"
#include "emit/document.h"

namespace scruple {

struct SheetOptions {
    bool color = false;
    std::size_t width = 80;
};

/// Sheets for the terminal or a printer: benches, then blends, then products.
std::string emit_sheet(const Document& document, const SheetOptions& options);
/// One product's or one blend's sheet.
std::string emit_product_sheet(const Document& document, ProductId product,
                               const SheetOptions& options);
std::string emit_bench_sheet(const Document& document, BenchId bench, const SheetOptions& options);
std::string emit_blend_sheet(const Document& document, BlendId blend, const SheetOptions& options);

/// The same as Markdown.
std::string emit_markdown(const Document& document);
std::string emit_product_markdown(const Document& document, ProductId product);
std::string emit_bench_markdown(const Document& document, BenchId bench);
std::string emit_blend_markdown(const Document& document, BlendId blend);

/// Schema `scruple.formula/1`.
std::string emit_json(const Document& document);
/// The same a piece at a time: a large collection's document is larger than anybody wants to hold.
void emit_json(const Document& document, FunctionRef<void(std::string_view)> sink);

/// One row a formula line, and for a bench one row an oil in the beaker after each of its rows (RFC 4180: CRLF, quotes doubled); numbers with a point, no grouping.
std::string emit_csv(const Document& document);

/// Name of the compiler and its version, e.g. "0.1.0".
extern const char* const kVersion;
/// Edition of the embedded library, e.g. "2026.1".
extern const char* const kLibraryEdition;

}  // namespace scruple
