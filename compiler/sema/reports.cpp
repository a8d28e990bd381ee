#include <fmt/core.h>

#include <algorithm>
#include <utility>

#include "base/text.h"
#include "sema/elaborator.h"

namespace scruple {
namespace {

/// Findings that speak of an amount, whoever wrote it.
bool judges_amount(Code code) {
    switch (code) {
        case Code::missing_unit:
        case Code::unexpected_unit:
        case Code::wrong_dimension:
        case Code::wrong_size:
        case Code::unexpected_range:
        case Code::out_of_range:
        case Code::zero_amount:
        case Code::negative_amount:
        case Code::percent_of_what: return true;
        default: return false;
    }
}

}  // namespace

Elaborator::Elaborator(const Collection& collection, SourceMap& sources, const ResourceLimits& limits, Bag& bag)
    : collection_(collection), sources_(sources), limits_(limits), bag_(bag), names_(collection, sources, limits),
      units_(collection.scopes.size() + 1) {}

DiagnosticBuilder Elaborator::report(Code code, Span span, std::string message) {
    if (code_info(code).severity == Severity::error) broken_ = true;
    const auto use = let_uses_.find({span.file, span.begin});
    if (use == let_uses_.end() || !judges_amount(code)) return bag_.add(code, span, std::move(message));
    // The figure was written elsewhere, and is wrong there for every use of it.
    const Decl& decl = names_.at(use->second);
    if (!let_told_.emplace(use->second, code).second) {
        sink_ = {};
        return DiagnosticBuilder(&sink_);
    }
    const Row& row = decl.tree->rows[decl.row];
    return bag_.add(code, span, std::move(message)).also(decl.tree->head(row), "declared here");
}

void Elaborator::unknown_name(std::uint32_t scope, NameSpace space, const Kinds& kinds,
                              std::string_view name, Span span) {
    broken_ = true;
    if (nameless_[static_cast<std::size_t>(space)]) return;  // it may be the one whose name is missing
    std::string wanted(name);
    if (const auto dot = name.find('.'); dot != std::string_view::npos && scope != kLibraryScope) {
        const std::string alias(name.substr(0, dot));
        // An import that is not there is one finding, whatever is used of it.
        if (!collection_.scopes[scope].imports.contains(alias)) {
            if (broken_imports_.contains(scope)) return;  // it may be the one that could not be read
            wanted = alias;
            space = NameSpace::none;
        }
    }
    if (any_broken_text_ && named_in_broken_text(scope, wanted)) return;  // said already, where it is broken
    auto& use = unknown_[{scope, space, wanted}];
    use.kinds = kinds;
    use.spans.push_back(span);
    unknown_log_.push_back({{scope, space, wanted}, span});
}

bool Elaborator::named_in_broken_text(std::uint32_t, std::string_view name) {
    for (; broken_words_upto_ < broken_rows_.size(); ++broken_words_upto_) {
        const auto text = sources_.text(broken_rows_[broken_words_upto_]);
        const auto part = [](char c) { return c == '_' || (c >= 'a' && c <= 'z') || (c >= '0' && c <= '9'); };
        for (std::size_t at = 0; at < text.size();) {
            std::size_t end = at;
            while (end < text.size() && part(text[end])) ++end;
            if (end > at) broken_words_.insert(text.substr(at, end - at));
            at = end + 1;
        }
    }
    return broken_words_.contains(name);
}

void Elaborator::one_finding(RowMark mark, Span row) {
    const auto inside = [&](const Span& s) { return s.file == row.file && s.begin >= row.begin && s.end <= row.end; };
    const bool said = bag_.keep_first_within(mark.bag, row);
    bool first = !said;
    for (std::size_t i = mark.log; i < unknown_log_.size();) {
        auto& use = unknown_log_[i];
        if (!inside(use.span) || std::exchange(first, false)) {
            ++i;
            continue;
        }
        auto& spans = unknown_[use.key].spans;
        if (const auto last = std::find(spans.rbegin(), spans.rend(), use.span); last != spans.rend()) {
            spans.erase(std::next(last).base());
        }
        unknown_log_.erase(unknown_log_.begin() + static_cast<std::ptrdiff_t>(i));
    }
}

void Elaborator::report_unknown_import(std::uint32_t scope, const std::string& alias, const std::vector<Span>& spans) {
    auto added = report(Code::unknown_name, spans.front(),
                        fmt::format("no import is called `{}`: `use \"../folder\" as {}` makes one", alias, alias));
    std::vector<std::string> aliases;
    for (const auto& [name, target] : collection_.scopes[scope].imports) aliases.push_back(name);
    const auto near = nearest(alias, aliases);
    if (near.empty()) return;
    added.label(fmt::format("did you mean `{}`?", near));
    std::vector<Edit> edits;
    for (const Span& s : spans) {
        edits.push_back({{s.file, s.begin, s.begin + static_cast<std::uint32_t>(alias.size())}, near});
    }
    added.fix(fmt::format("write `{}`", near), false, std::move(edits));
    for (const auto& file : collection_.files) {
        if (file.scope != scope) continue;
        const SyntaxTree& tree = file.tree;
        for (std::uint32_t r = 0; r < tree.rows.size(); r = tree.rows[r].next) {
            if (tree.rows[r].item_count == 0) continue;
            Cursor cursor(tree, tree.items_of(tree.rows[r])[0]);
            if (cursor.left() != 4 || !cursor.is_word("use") || !cursor.is_word(near, 3)) continue;
            added.also(tree.head(tree.rows[r]), "imported here");
        }
    }
}

/// One finding a name, with every place that uses it; a declared name that nothing uses and that is one slip away is
/// taken for the cause.
void Elaborator::report_unknown_names() {
    std::size_t told = 0;
    for (auto& [key, use] : unknown_) {
        const auto& [scope, space, name] = key;
        if (use.spans.empty()) continue;
        if (space == NameSpace::none) {
            report_unknown_import(scope, name, use.spans);
            continue;
        }
        std::sort(use.spans.begin(), use.spans.end(), [](const Span& a, const Span& b) {
            return std::tie(a.file, a.begin) < std::tie(b.file, b.begin);
        });
        // Suggestions cost a pass over all names: enough for the first ones, which people mend first.
        const bool suggest = ++told <= 100;
        if (suggest && scope != kLibraryScope && name.find('.') == std::string::npos) {
            DeclId culprit = kNoDecl;
            for (DeclId id = 0; id < names_.size(); ++id) {
                const Decl& d = names_.at(id);
                if (d.scope != scope || kind_spec(d.kind).space != space || d.uses > 0) continue;
                if (std::find(use.kinds.begin(), use.kinds.end(), d.kind) == use.kinds.end()) continue;
                if (edit_distance(d.name, name, 2) <= 2) culprit = id;
            }
            if (culprit != kNoDecl) {
                const Decl& d = names_.at(culprit);
                auto added = report(Code::unknown_name, d.name_span,
                                    fmt::format("`{}` is used, but what is declared is `{}`, which nothing uses", name,
                                                d.name));
                added.label("declared here");
                for (std::size_t i = 0; i < use.spans.size() && i < 4; ++i) {
                    added.also(use.spans[i], fmt::format("used here as `{}`", name));
                }
                added.fix(fmt::format("name it `{}`", name), true, {{d.name_span, name}});
                continue;
            }
        }
        std::string wanted;
        if (use.kinds.size() == 1) {
            wanted = std::string(kind_phrase(use.kinds[0]));
        } else {
            for (std::size_t i = 0; i < use.kinds.size(); ++i) {
                if (i > 0) wanted += i + 1 == use.kinds.size() ? " or " : ", ";
                wanted += std::string(kind_phrase(use.kinds[i]));
            }
        }
        std::vector<std::string> near;
        std::vector<std::string> members;
        if (suggest) {
            members = names_.members(scope, use.kinds, name);
            near = names_.suggest(scope, use.kinds, name);
        }
        const Span& at = use.spans.front();
        if (members.size() > 1 && (near.empty() || near.front() == members.front())) {
            std::string list;
            for (std::size_t i = 0; i < members.size() && i < 8; ++i) list += (i ? ", `" : "`") + members[i] + "`";
            if (members.size() > 8) list += fmt::format(" and {} more", members.size() - 8);
            auto added = report(Code::ambiguous_name, at,
                                fmt::format("`{}` could be any of {} materials, and a recipe must say which", name,
                                            members.size()));
            added.note("they are " + list);
            for (std::size_t i = 0; i < members.size() && i < 4; ++i) {
                std::vector<Edit> edits;
                for (const Span& s : use.spans) edits.push_back({s, members[i]});
                added.fix(fmt::format("write `{}`", members[i]), false, std::move(edits));
            }
            continue;
        }
        if (near.empty() && members.size() == 1) near = members;
        auto added = report(Code::unknown_name, at, fmt::format("nothing here is called `{}`, and {} is wanted", name, wanted));
        if (!near.empty()) added.label(fmt::format("did you mean `{}`?", near.front()));
        for (std::size_t i = 1; i < use.spans.size() && i < 4; ++i) added.also(use.spans[i], "used here too");
        if (use.spans.size() > 4) added.note(fmt::format("it is used in {} places", use.spans.size()));
        for (const auto& n : near) {
            std::vector<Edit> edits;
            for (const Span& s : use.spans) edits.push_back({s, n});
            added.fix(fmt::format("write `{}`", n), false, std::move(edits));
        }
        if (near.empty()) added.note(fmt::format("`scruple library {}` looks for it in the library", name));
    }
}

void Elaborator::leftover(Cursor& cursor) {
    if (cursor.done()) return;
    const Span span = cursor.rest();
    report(Code::unexpected_text, span, fmt::format("`{}` does not belong at the end of this row", sources_.text(span)));
}

}  // namespace scruple
