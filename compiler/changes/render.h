// The renderings of a comparison. The same changes give the same bytes; no text of a recipe can steer a terminal or open a tag.
#pragma once

#include <cstddef>
#include <string>

#include "base/source.h"
#include "changes/change.h"

namespace scruple::changes {

struct TextLook {
    bool color = false;
    std::size_t width = 80;
};

/// Compact tables for a terminal, readable without colour. Nothing differs: one line that says so.
std::string render_text(const Changes& changes, const TextLook& look);

/// A comment on a change: one line to act on, the gravest differences, and the rest folded (GitHub Flavored Markdown).
std::string render_markdown(const Changes& changes);

/// Schema `scruple.changes/1` (grammar/changes.schema.json).
std::string render_json(const Changes& changes);

/// A page of its own: no script, no style or picture from elsewhere.
std::string render_html(const Changes& changes);

/// SARIF 2.1.0: what a reviewer must look at, on the rows of the new side that changed. The places are spans of `sources`.
class Places;
std::string render_sarif(const Changes& changes, const Places& places, const SourceMap& sources);

}  // namespace scruple::changes
