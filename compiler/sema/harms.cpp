// `harm NAME "…" { substances … }`: substances that do the same harm.
#include "sema/elaborator.h"

namespace scruple {

/// `all`: whatever it names is read. Otherwise only what a recipe has named already counts: nothing else can be in one.
void Elaborator::harm(DeclId id, bool all) {
    if (!begin(id)) return;
    const Decl decl = names_.at(id);
    const SyntaxTree& tree = *decl.tree;
    Harm h;
    h.header = header_of(decl);
    Cursor head = after_name(decl);
    leftover(head);
    read_block(id, decl.row, kind_spec(Kind::harm),
               [&](const FieldSpec& spec, std::uint32_t row, Cursor& cursor) {
                   if (spec.field == Field::source) {
                       if (const SourceId s = read_source(cursor); s != kNone) h.source = s;
                   } else if (spec.field == Field::substances) {
                       read_subjects(tree, row, cursor, decl.scope, NameSpace::substances, {Kind::substance, Kind::group}, all,
                                     h.substances, [&](DeclId s) { return substance(s); });
                   } else {
                       read_texts(tree, row, cursor);
                   }
               },
               nullptr);
    h.header.broken = broken_ || decl.broken;
    const auto record = static_cast<std::uint32_t>(model_.harms.size());
    model_.harms.push_back(std::move(h));
    end(id, record);
}

void Elaborator::load_harms(bool all) {
    for (const DeclId id : names_.library_of(Kind::harm)) harm(id, all);
}

}  // namespace scruple
