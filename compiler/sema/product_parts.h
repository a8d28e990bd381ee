// What the rows of a product or of a line have said so far. Internal to sema.
#pragma once

#include "sema/elaborator.h"

namespace scruple {

struct ProductParts {
    Product product;
    DeclId blend = kNoDecl;
    Span blend_span;
    DeclId format = kNoDecl;
    Span format_span;
    std::optional<Load> load;
    bool load_bare = false;      // a percentage whose basis is the format's
    Amount load_amount;
    bool size_known = false;
    Amount size;
    bool in_known = false;
    Span in_span;
    std::optional<Rational> line_extra;
    struct NamedLot {
        DeclId decl = kNoDecl;
        Span span;
    };
    std::vector<NamedLot> lots;
};

/// What a line says of all its rows.
struct LineParts {
    DeclId of = kNoDecl;
    Span of_span;
    std::optional<Rational> extra;
    Header header;
    std::vector<AudienceId> audience;
    Span audience_span;
};

}  // namespace scruple
