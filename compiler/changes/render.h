// The renderings of a comparison. The same changes give the same bytes; no text of a recipe can steer a terminal or open a tag.
#pragma once

#include <cstddef>
#include <string>

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

}  // namespace scruple::changes
