#include <fmt/core.h>

#include <algorithm>
#include <set>

#include "base/text.h"
#include "cli/commands.h"
#include "cli/exit_codes.h"
#include "cli/terminal.h"
#include "library/embedded.h"
#include "num/decimal.h"
#include "sema/elaborate.h"
#include "sema/names.h"

namespace scruple {
namespace {

std::string lower(std::string_view text) {
    std::string out(text);
    for (char& c : out) {
        if (c >= 'A' && c <= 'Z') c = static_cast<char>(c - 'A' + 'a');
    }
    return out;
}

std::string percent(double fraction) { return format_significant(fraction * 100, 4) + " %"; }

/// A range as three figures, or one where they agree.
std::string range_text(const Range& r, double scale) {
    const auto f = [&](double v) { return format_significant(v * scale, 5); };
    if (r.low == r.high) return f(r.high);
    if (!r.stated_typical) return f(r.low) + " to " + f(r.high);
    return fmt::format("{} to {}, typical {}", f(r.low), f(r.high), f(r.typical));
}

std::string source_text(const Model& m, SourceId id) {
    const Source* s = m.source(id);
    if (!s) return "";
    return fmt::format("{}: {}", standing_word(s->standing), s->text);
}

class Page {
public:
    void title(std::string_view text, std::string_view name) { out_ += fmt::format("{}  ({})\n", text, name); }
    void field(std::string_view name, std::string_view value) {
        if (value.empty()) return;
        bool first = true;
        for (const auto& line : wrap(value, 62)) {
            out_ += fmt::format("  {} {}\n", pad_right(first ? name : "", 14), line);
            first = false;
        }
    }
    void gap(std::string_view heading) { out_ += fmt::format("\n  {}\n", heading); }
    void row(std::string_view line) { out_ += fmt::format("    {}\n", line); }
    void wrapped_row(std::string_view text, std::size_t hang) {
        bool first = true;
        for (const auto& line : wrap(text, 74 - hang)) {
            out_ += fmt::format("    {}{}\n", first ? "" : std::string(hang, ' '), line);
            first = false;
        }
    }
    std::string take() { return std::move(out_); }

private:
    std::string out_;
};

void show_limits(Page& page, const Model& m, const std::vector<std::uint32_t>& limits) {
    if (limits.empty()) return;
    page.gap("Limits in the finished product (of every rule set here; a workshop may choose fewer)");
    for (const auto index : limits) {
        const Limit& limit = m.limits[index];
        const RuleSet& rules = m.rule_sets[limit.rules];
        page.row(fmt::format("{}: {}", rules.header.name, rules.header.title));
        for (const auto& row : limit.rows) {
            std::string where;
            for (const CategoryId c : row.in) where += (where.empty() ? "" : ", ") + std::string(m.categories[c].header.name);
            std::string figure = row.kind == LimitKind::ceiling     ? row.max_text + " %"
                                 : row.kind == LimitKind::none      ? "none"
                                 : row.kind == LimitKind::unlimited ? "no limit"
                                 : row.kind == LimitKind::unstated  ? "not known here"
                                                                    : "a rule on the bottle";
            std::string text = fmt::format("  {} in {} ({}, {})", figure, where, effect_word(row.effect),
                                           standing_word(m.standing(row.source)));
            if (!row.remark.empty()) text += ": " + row.remark;
            page.wrapped_row(text, 4);
        }
    }
}

std::string show_material(const Model& m, MaterialId id) {
    const Material& x = m.materials[id];
    Page page;
    page.title(x.header.title, x.header.name);
    page.field("is", x.kind == MaterialKind::oil ? "an aromatic oil" : fmt::format("an ingredient ({})", x.role));
    page.field("botanical", x.botanical);
    page.field("inci", x.inci);
    page.field("cas", x.cas);
    if (x.density) {
        std::string text = range_text(x.density->g_per_ml, 1) + " g/ml";
        if (x.density->at_c) text += fmt::format(" at {:g} C", *x.density->at_c);
        const auto s = source_text(m, x.density->source);
        page.field("density", s.empty() ? text : text + " (" + s + ")");
    } else {
        page.field("density", "not known here");
    }
    if (x.flash_c) page.field("flash point", fmt::format("{:g} C", *x.flash_c));
    static constexpr std::string_view kNotes[] = {"", "top", "top to middle", "middle", "base"};
    page.field("note", kNotes[static_cast<std::size_t>(x.note)]);
    page.field("odour", x.odour);
    if (x.impact) page.field("impact", fmt::format("{} of 10", *x.impact));
    if (x.keeps_months) page.field("keeps", format_exact(*x.keeps_months) + " months");
    std::string moods;
    for (const auto mood : x.moods) moods += (moods.empty() ? "" : ", ") + std::string(mood);
    if (!moods.empty()) page.field("moods", moods + " (traditional use, no claim)");
    if (x.kind == MaterialKind::oil) {
        if (!x.composition_known) {
            page.field("composition", "not known here: unknown is not safe");
        } else {
            page.gap("What it holds, in per cent of its weight");
            auto rows = x.contains;
            std::stable_sort(rows.begin(), rows.end(),
                             [](const auto& a, const auto& b) { return a.fraction.typical > b.fraction.typical; });
            for (const auto& c : rows) {
                const bool sum = m.substances[c.substance].is_group;
                page.row(fmt::format("{} {}{}", pad_right(range_text(c.fraction, 100), 32),
                                     m.substances[c.substance].header.title,
                                     sum ? " (counted together)"
                                         : fmt::format("  [{}]", standing_word(m.standing(c.source)))));
            }
            page.row(fmt::format("{} {}", pad_right(percent(1 - x.known_typical), 32), "not known here"));
        }
    }
    if (id < m.material_limits.size()) show_limits(page, m, m.material_limits[id]);
    for (const SourceId s : x.sources) page.field("source", source_text(m, s));
    return page.take();
}

std::string show_format(const Model& m, const Format& f) {
    Page page;
    page.title(f.header.title, f.header.name);
    page.field("is", "a product format");
    page.field("on skin", f.contact == Contact::leave_on ? "stays on" : f.contact == Contact::rinse_off ? "is rinsed off" : "not meant for skin");
    const Category& c = m.categories[f.category];
    page.field("category", fmt::format("{}{}", c.header.title, c.code.empty() ? "" : " (" + c.code + ")"));
    if (f.load_neat) page.field("usual load", "neat");
    if (f.load_low && f.load_high) {
        const auto of = f.load_basis == Basis::vv ? "v/v" : f.load_of == Of::base ? "of the base" : f.load_of == Of::fats
                        ? "of the fats" : f.load_of == Of::wax ? "of the wax" : "of the total";
        page.field("usual load", fmt::format("{} to {} % {}, a habit of the trade and no safety limit",
                                             format_exact(*f.load_low * Rational(100)), format_exact(*f.load_high * Rational(100)), of));
    }
    page.field("mixing", f.mixing);
    std::string steps;
    for (const auto& s : f.steps) steps += (steps.empty() ? "" : "; ") + s;
    page.field("steps", steps);
    for (const SourceId s : f.sources) page.field("source", source_text(m, s));
    return page.take();
}

std::string show_substance(const Model& m, SubstanceId id) {
    const Substance& s = m.substances[id];
    Page page;
    page.title(s.header.title, s.header.name);
    page.field("is", s.is_group ? "a group that one rule sums" : "a substance");
    page.field("cas", s.cas);
    std::string members;
    for (const SubstanceId x : s.members) members += (members.empty() ? "" : ", ") + std::string(m.substances[x].header.name);
    page.field("members", members);
    std::vector<std::pair<double, std::string>> in;
    for (const auto& x : m.materials) {
        for (const auto& c : x.contains) {
            if (c.substance == id) in.emplace_back(c.fraction.typical, std::string(x.header.name));
        }
    }
    std::stable_sort(in.begin(), in.end(), [](const auto& a, const auto& b) { return a.first > b.first; });
    std::string list;
    for (std::size_t i = 0; i < in.size() && i < 12; ++i) list += fmt::format("{}{} ({})", i ? ", " : "", in[i].second, percent(in[i].first));
    if (in.size() > 12) list += fmt::format(" and {} more", in.size() - 12);
    page.field("found in", list);
    if (id < m.substance_limits.size()) show_limits(page, m, m.substance_limits[id]);
    return page.take();
}

struct Entry {
    std::string kind;
    std::string name;
    std::string title;
    std::string haystack;  // lower case
};

}  // namespace

int run_library(const LibraryOptions& options) {
    SourceMap sources;
    Bag bag;
    const Model m = elaborate_library(sources, ResourceLimits{}, bag);
    std::vector<Entry> entries;
    const auto add = [&](std::string kind, const Header& h, std::string more) {
        entries.push_back({kind, std::string(h.name), h.title, lower(fmt::format("{} {} {} {}", kind, h.name, h.title, more))});
    };
    for (const auto& x : m.materials) {
        std::string more = x.inci + " " + x.botanical + " " + x.cas + " " + std::string(x.odour) + " " + std::string(x.role);
        for (const auto mood : x.moods) more += " " + std::string(mood);
        add(x.kind == MaterialKind::oil ? "oil" : "ingredient", x.header, more);
    }
    for (const auto& x : m.formats) add("format", x.header, "");
    for (const auto& x : m.bases) add("base", x.header, "");
    for (const auto& x : m.substances) add(x.is_group ? "group" : "substance", x.header, x.cas);
    for (const auto& x : m.rule_sets) add("rules", x.header, x.dated);
    for (const auto& x : m.categories) add("category", x.header, x.code);
    for (const auto& d : embedded_declarations()) {
        if (d.kind == Kind::unit) entries.push_back({"unit", std::string(d.name), "", lower(fmt::format("unit {}", d.name))});
    }

    if (options.words.empty()) {
        std::string out = "The library holds:\n\n";
        for (const auto kind : {"oil", "ingredient", "format", "base", "substance", "group", "rules", "category", "unit"}) {
            out += fmt::format("  {:5}  {}\n", std::count_if(entries.begin(), entries.end(), [&](const Entry& e) { return e.kind == kind; }), kind);
        }
        out += "\nLook into it with words: `scruple library citrus`, `scruple library oil citrus`,\n"
               "`scruple library format`, `scruple library unit`.\n\n"
               "Every figure carries its source and how sure it is. Nothing here is an approval;\n"
               "the supplier's own documents come first.\n";
        return write_out(out) ? kClean : kIoFailed;
    }
    // One name: all about it.
    if (options.words.size() == 1) {
        const auto& name = options.words[0];
        for (MaterialId i = 0; i < m.materials.size(); ++i) {
            if (m.materials[i].header.name == name) return write_out(show_material(m, i)) ? kClean : kIoFailed;
        }
        for (const auto& f : m.formats) {
            if (f.header.name == name) return write_out(show_format(m, f)) ? kClean : kIoFailed;
        }
        for (SubstanceId i = 0; i < m.substances.size(); ++i) {
            if (m.substances[i].header.name == name) return write_out(show_substance(m, i)) ? kClean : kIoFailed;
        }
    }
    std::vector<const Entry*> hits;
    for (const auto& e : entries) {
        bool all = true;
        for (auto word : options.words) {
            word = lower(word);
            if (e.haystack.find(word) != std::string::npos) continue;
            // "units" finds each unit, "oils" each oil
            if (word.size() > 3 && word.ends_with("s") && e.kind == word.substr(0, word.size() - 1)) continue;
            all = false;
        }
        if (all) hits.push_back(&e);
    }
    if (hits.empty()) {
        std::vector<std::string> names;
        for (const auto& e : entries) names.push_back(e.name);
        std::string asked;
        for (const auto& w : options.words) asked += (asked.empty() ? "" : "_") + lower(w);
        const auto near = nearest(asked, names);
        say(fmt::format("scruple: the library has nothing for `{}`{}\n", asked,
                              near.empty() ? "" : fmt::format("; did you mean `{}`?", near)));
        return kWrongUse;
    }
    std::sort(hits.begin(), hits.end(), [](const Entry* a, const Entry* b) {
        return a->kind != b->kind ? a->kind < b->kind : a->name < b->name;
    });
    std::string out;
    for (const Entry* e : hits) {
        out += fmt::format("{} {} {}\n", pad_right(e->kind, 10), pad_right(e->name, 30), e->title);
    }
    if (hits.size() == 1 && hits[0]->kind != "unit") out += fmt::format("\n`scruple library {}` tells all about it.\n", hits[0]->name);
    return write_out(out) ? kClean : kIoFailed;
}

}  // namespace scruple
