// One oil or ingredient as a card: who it is, how it behaves, what it holds, what binds it, what is
// not known.
#include "emit/library_cards.h"

#include <algorithm>
#include <limits>

#include "emit/library.h"
#include "emit/people.h"
#include "emit/words.h"
#include "num/decimal.h"
#include "safety/limit_table.h"

namespace scruple::emit {
namespace {

constexpr double kNoBound = std::numeric_limits<double>::infinity();

/// The tightest rule for a material alone in one category, at its typical composition and at the
/// tops of its ranges.
struct Bound {
    double typical = kNoBound;
    double strongest = kNoBound;
    std::string because;
    std::string because_strong;
    double soft = kNoBound;  // what only derived rows and estimates ask for
    std::string soft_because;
};

std::string rule_text(const Model& m, const Limit& limit, const LimitRow& row,
                      std::string_view subject) {
    const std::string figure = row.kind == LimitKind::none ? "none allowed" : row.max_text + " %";
    return std::string(subject) + ", " + figure + " (" +
           std::string(m.rule_sets[limit.rules].header.name) + ", " +
           std::string(standing_word(m.standing(row.source))) + ")";
}

Bound bound_of(const Model& m, const CategoryTable& table, MaterialId id) {
    Bound out;
    const auto take = [&](double typical, double high, bool soft, const Limit& limit,
                          const LimitRow& row, std::string_view subject) {
        if (soft) {
            if (typical < out.soft) {
                out.soft = typical;
                out.soft_because = rule_text(m, limit, row, subject);
            }
            return;
        }
        if (typical < out.typical) {
            out.typical = typical;
            out.because = rule_text(m, limit, row, subject);
        }
        if (high < out.strongest) {
            out.strongest = high;
            out.because_strong = rule_text(m, limit, row, subject);
        }
    };
    const auto per = [](double limit, double share) {
        return share > 0 ? limit / share : kNoBound;
    };
    for (auto i = table.parts_from[id]; i < table.parts_from[id + 1]; ++i) {
        const auto& part = table.parts[i];
        const LimitEntry& e = table.entries[part.entry];
        if (e.replaces_sum) continue;  // the oils' own limits hold while no lot is analysed
        const auto subject = e.substance != kNone ? substance_title(m, e.substance)
                                                  : std::string("the material itself");
        take(per(e.limit, part.typical), per(e.limit, part.high), e.soft, *e.from, *e.row, subject);
    }
    if (const auto& light = table.phototoxic[id]; light.row) {
        take(light.limit, light.limit, false, *light.from, *light.row,
             "the material itself, for sunlight");
    }
    if (const auto& light = table.phototoxic_any[id];
        light.row && light.row != table.phototoxic[id].row) {
        take(light.limit, light.limit, true, *light.from, *light.row,
             "the material itself, for sunlight");
    }
    return out;
}

std::string bound_text(double bound) {
    if (bound >= 1) return "-";
    if (bound <= 0) return "none";
    return format_significant(bound * 100, 3, Rounding::down) +
           " %";  // down: what is printed must pass
}

/// What people call the category of a table: its title and its code.
std::string category_text(const Category& c) {
    return plain(c.header.title) + (c.code.empty() ? "" : " [" + c.code + "]");
}

void add_bounds(Page& page, const Model& m, MaterialId id) {
    const LimitTable limits(m);
    struct Line {
        std::string categories, typical, strongest, because;
    };
    std::vector<std::string> unknown;
    Table table;
    table.columns = {{"", Align::left, true},
                     {"at most", Align::right, false},
                     {"if strong", Align::right, false},
                     {"because of", Align::left, true}};
    std::size_t open = 0;
    for (const Contact contact : {Contact::leave_on, Contact::rinse_off, Contact::none}) {
        // A category's contact is that of the formats that lie in it; the closest one counts.
        std::vector<CategoryId> categories;
        for (CategoryId c = 0; c < m.categories.size(); ++c) {
            std::optional<Contact> closest;
            for (const auto& f : m.formats) {
                if (f.category == c && (!closest || f.contact > *closest)) closest = f.contact;
            }
            if (closest && *closest == contact) categories.push_back(c);
        }
        std::stable_sort(categories.begin(), categories.end(), [&](CategoryId a, CategoryId b) {
            const auto key = [&](CategoryId x) {
                return std::tuple(code_order(m.categories[x].code), m.categories[x].header.name);
            };
            return key(a) < key(b);
        });
        std::vector<Line> lines;
        for (const auto c : categories) {
            const CategoryTable* found = limits.impl().table(c);
            if (!found) continue;
            for (auto i = found->unstated_from[id]; i < found->unstated_from[id + 1]; ++i) {
                const Limit& limit = *found->unstated[i].first;
                const auto text = plain(std::string(subject_name(m, limit))) + " (" +
                                  std::string(m.rule_sets[limit.rules].header.name) + ")";
                if (std::find(unknown.begin(), unknown.end(), text) == unknown.end())
                    unknown.push_back(text);
            }
            const Bound b = bound_of(m, *found, id);
            const bool soft = b.soft < std::min(b.typical, 1.0);
            if (b.typical >= 1 && b.strongest >= 1 && !soft) {
                ++open;
                continue;
            }
            Line line{category_text(m.categories[c]), bound_text(b.typical),
                      bound_text(b.strongest), ""};
            if (b.typical < 1) {
                line.because = b.because;
            } else if (b.strongest < 1) {
                line.because = b.because_strong;
            }
            if (soft) {
                if (!line.because.empty()) line.because += "; ";
                line.because += "worked out: " + bound_text(b.soft) + ", " + b.soft_because;
            }
            const auto same = std::find_if(lines.begin(), lines.end(), [&](const Line& x) {
                return x.typical == line.typical && x.strongest == line.strongest &&
                       x.because == line.because;
            });
            if (same != lines.end()) {
                same->categories += "; " + line.categories;
            } else {
                lines.push_back(std::move(line));
            }
        }
        if (lines.empty()) continue;
        table.heading(std::string(contact_text(contact)));
        for (auto& l : lines) table.line({l.categories, l.typical, l.strongest, l.because});
    }
    page.heading("What binds it");
    if (table.rows.empty()) {
        page.paragraph(
            "No limit that is known here binds it by itself. That doesn't say that none exists.");
    } else {
        page.paragraph(
            "The most of it in a finished product, by weight, if nothing else brings the same: at "
            "typical "
            "composition, and at the tops of its ranges. Of all rule sets of the library.");
        page.table(std::move(table));
        if (open > 0)
            page.paragraph(
                "No limit known here binds it in the other kinds of product. That doesn't say that "
                "none exists.");
    }
    if (m.materials[id].kind == MaterialKind::oil) {
        page.paragraph("Undiluted on skin is refused, whatever the limits say.");
    }
    if (!unknown.empty()) {
        page.paragraph("There is a limit whose figure is not known here: " + joined(unknown) + ".",
                       Tone::warning);
    }
}

void add_composition(Page& page, const Catalogue& c, const Material& x,
                     std::vector<SourceId>& sources) {
    const Model& m = *c.model;
    page.heading("What it holds");
    if (!x.composition_known && x.contains.empty()) {
        page.paragraph("Not known here. Unknown is not safe: nobody can say what limits it meets.",
                       Tone::warning);
        return;
    }
    auto rows = x.contains;
    std::stable_sort(rows.begin(), rows.end(), [](const auto& a, const auto& b) {
        return share_rank(a.fraction) > share_rank(b.fraction);
    });
    Table table;
    table.columns = {{"per cent by weight", Align::left, true},
                     {"typical", Align::right, false},
                     {"range", Align::right, false},
                     {"standing", Align::left, false},
                     {"", Align::left, false}};
    bool limited = false;
    const auto f = [](double v) { return format_significant(v * 100, 4); };
    for (const bool stated : {true, false}) {
        for (const auto& part : rows) {
            if (is_stated(part) != stated) continue;
            const Range& r = part.fraction;
            const bool has = part.substance < m.substance_limits.size() &&
                             !m.substance_limits[part.substance].empty();
            // A sum of which nothing is limited is only another name for its parts.
            if (!stated && !has) continue;
            limited |= has;
            table.line({substance_title(m, part.substance),
                        r.stated_typical || r.low == r.high ? f(r.typical) : "",
                        r.low == r.high ? "" : f(r.low) + " to " + f(r.high),
                        stated ? std::string(standing_word(m.standing(part.source))) : "summed",
                        has ? "limit" : ""});
            if (stated) sources.push_back(part.source);
        }
    }
    page.table(std::move(table));
    const double rest = 1 - x.known_typical;
    if (rest > 0.0005) {
        page.paragraph("Not known here: " + format_significant(rest * 100, 3) +
                           " % of it, at typical figures. What is not listed is "
                           "unknown, not absent.",
                       Tone::warning);
    } else {
        page.paragraph(
            "At typical figures the rows come to the whole. What is not listed is unknown, not "
            "absent.");
    }
    if (limited)
        page.paragraph("`limit`: there are limits on it; `scruple library limit NAME` lists them.");
}

/// The word stands in the text by itself.
bool names_it(std::string_view text, std::string_view name) {
    const auto lower = [](char ch) {
        return ch >= 'A' && ch <= 'Z' ? static_cast<char>(ch - 'A' + 'a') : ch;
    };
    const auto letter = [&](char ch) { return lower(ch) >= 'a' && lower(ch) <= 'z'; };
    if (name.empty() || text.size() < name.size()) return false;
    for (std::size_t at = 0; at + name.size() <= text.size(); ++at) {
        bool same = true;
        for (std::size_t i = 0; i < name.size() && same; ++i)
            same = lower(text[at + i]) == lower(name[i]);
        if (!same || (at > 0 && letter(text[at - 1]))) continue;
        if (at + name.size() == text.size() || !letter(text[at + name.size()])) return true;
    }
    return false;
}

}  // namespace

void add_card_end(Page& page, const Model& m, const std::vector<SourceId>& sources,
                  const std::vector<std::string>& remarks) {
    if (!remarks.empty()) {
        page.heading("Remarks");
        std::vector<std::string> items;
        for (const auto& r : remarks) items.push_back(plain(r));
        page.items(std::move(items));
    }
    if (auto folded = folded_sources(m, sources); !folded.empty()) {
        page.heading("Sources");
        page.facts(std::move(folded));
    }
    page.paragraph("A card approves nothing. The supplier's own documents come first.");
}

std::string label_text(const Model& model, SubstanceId substance, MaterialId material) {
    const auto has = [](const auto& list, auto id) {
        return std::find(list.begin(), list.end(), id) != list.end();
    };
    std::string text;
    for (const Allergen& a : model.allergens) {
        bool meant = material != kNone && has(a.oils, material);
        if (substance != kNone) {
            const auto& groups = model.substances[substance].groups;
            meant = has(a.substances, substance) ||
                    std::any_of(groups.begin(), groups.end(), [&](SubstanceId g) { return has(a.substances, g); });
        }
        if (!meant) continue;
        text += (text.empty() ? "" : "; ") + plain(a.label) + " (" +
                std::string(model.rule_sets[a.rules].header.name) + ")";
    }
    return text;
}

Page card_of(const Header& header) {
    Page page;
    page.title = plain(header.title);
    page.id = std::string(header.name);
    page.doc = header.doc;
    return page;
}

Page material_card(const Catalogue& c, MaterialId id) {
    const Model& m = *c.model;
    const Material& x = m.materials[id];
    const Detail* d = c.details->find(NameSpace::materials, x.header.name);
    const auto texts = [&](std::string_view field) {
        return d ? joined(d->texts(field)) : std::string();
    };
    const auto figure = [&](std::string_view field) {
        return d ? d->figure(field) : std::string();
    };
    const bool oil = x.kind == MaterialKind::oil;
    Page page = card_of(x.header);
    Facts who;
    auto process = figure("process");
    std::replace(process.begin(), process.end(), '_', ' ');
    auto role = std::string(x.role);
    std::replace(role.begin(), role.end(), '_', ' ');
    who.add("is", oil ? "an aromatic oil" + (process.empty() ? "" : ", " + process)
                      : "an ingredient" + (role.empty() ? "" : ": " + role));
    who.add("also", texts("also"));
    who.add("plant", x.botanical + (texts("family").empty() ? "" : " (" + texts("family") + ")"));
    who.add("part", texts("part"));
    who.add("INCI", x.inci);
    who.add("CAS", x.cas);
    who.add("on labels", label_text(m, kNone, id));
    page.facts(who.take());

    page.heading("How it behaves");
    Facts how;
    std::vector<SourceId> sources;
    const DetailRow* note = d ? d->field("note") : nullptr;
    std::string note_text(note_word(x.note));
    if (note && !note->after("by").empty()) {
        for (const auto& s : m.sources) {
            if (s.name == note->after("by"))
                note_text += " (" + std::string(standing_word(s.standing)) + ")";
        }
    }
    how.add("note", note_text);
    how.add("odour", std::string(x.odour));
    if (x.impact) how.add("strength", std::to_string(*x.impact) + " of 10");
    how.add("lasts", figure("tenacity").empty() ? "" : figure("tenacity") + " on a smelling strip");
    std::string moods;
    for (const auto mood : x.moods) moods += (moods.empty() ? "" : ", ") + std::string(mood);
    how.add("moods", moods.empty() ? "" : moods + " (traditional use, no claim)");
    if (x.density) {
        const Range& r = x.density->g_per_ml;
        const auto f = [](double v) { return format_significant(v, 5); };
        std::string text = r.low == r.high
                               ? f(r.typical)
                               : f(r.typical) + " (" + f(r.low) + " to " + f(r.high) + ")";
        text += " g/ml";
        if (x.density->at_c) text += " at " + format_significant(*x.density->at_c, 4) + " C";
        if (const Source* s = m.source(x.density->source)) {
            text +=
                std::string(", ") + std::string(standing_word(s->standing)) + ": " + plain(s->text);
        }
        how.add("density", text);
    } else if (x.state != "part") {
        how.add("density", "not known here");
    }
    if (x.bulk_g_per_ml)
        how.add("poured", format_significant(*x.bulk_g_per_ml, 4) + " g/ml as powder");
    auto state = std::string(x.state);
    std::replace(state.begin(), state.end(), '_', ' ');
    how.add("state", state);
    how.add("melts at", figure("melts"));
    if (x.flash_c) how.add("flash point", format_significant(*x.flash_c, 4) + " C");
    how.add("saponification", figure("saponification"));
    how.add("iodine value", figure("iodine"));
    if (x.keeps_months)
        how.add("keeps", figure("keeps").empty() ? format_exact(*x.keeps_months) + " months"
                                                 : figure("keeps"));
    if (x.drops_per_ml)
        how.add("dropper", format_exact(*x.drops_per_ml) + " drops to the millilitre");
    const auto light = figure("phototoxic");
    how.add("in sunlight", light == "yes"  ? "burns skin: phototoxic"
                           : light == "no" ? "not phototoxic by what is known here"
                           : oil           ? "not stated here"
                                           : "");
    const auto tier = figure("cost_tier");
    how.add("price",
            tier.empty() ? "" : std::string(price_tier_word(tier)) + ", tier " + tier + " of 5");
    how.add("plant's state", plain(d ? d->text("conservation") : ""));
    if (!x.cites_appendix.empty()) {
        const Source* s = m.source(x.cites_source);
        how.add("CITES", "Appendix " + appendix_text(x.cites_appendix) +
                             (s ? " (" + std::string(standing_word(s->standing)) + ": " + plain(s->text) + ")" : ""));
    }
    page.facts(how.take());

    const auto missing = missing_fields(c, x);
    if (!missing.empty()) {
        std::string list;
        for (const auto word : missing)
            list +=
                (list.empty() ? "" : ", ") + std::string(word == "contains" ? "composition" : word);
        page.paragraph("Not known here: " + list + ".", Tone::warning);
    }
    if (oil || !x.contains.empty()) add_composition(page, c, x, sources);
    const bool own = id < m.material_limits.size() && !m.material_limits[id].empty();
    if (oil || own || !x.contains.empty()) add_bounds(page, m, id);
    if (own)
        page.paragraph("`scruple library limit " + std::string(x.header.name) +
                       "` lists all limits on the material itself.");

    std::vector<std::string> cautions;
    for (const auto& caution : m.cautions) {
        if (!caution.usual()) continue;
        bool names = names_it(caution.text, x.header.title);
        if (d) {
            for (const auto& also : d->texts("also")) names = names || names_it(caution.text, also);
        }
        if (names) cautions.push_back(plain(caution.text));
    }
    if (!cautions.empty()) {
        page.heading("Cautions that name it");
        page.items(std::move(cautions), Tone::warning);
    }
    add_material_cautions(page, c, id);
    // The density's own source stands beside it.
    for (const auto s : x.sources) sources.push_back(s);
    add_card_end(page, m, sources, d ? d->texts("remark") : std::vector<std::string>{});
    return page;
}

FormatBound format_bound(const Model& model, const LimitTable& limits, const Format& format, MaterialId material) {
    FormatBound out;
    const Material& m = model.materials[material];
    const CategoryTable* table = limits.impl().table(format.category);
    if (!table) {
        out.at_most = out.careful = "not known";
        out.order = 0;
        out.unknown.emplace_back("limits for this kind of product");
        return out;
    }
    const Bound b = bound_of(model, *table, material);
    const auto text = [](double bound) { return bound >= 1 ? std::string("no limit") : bound_text(bound); };
    const bool soft = b.soft < std::min(b.typical, b.strongest);
    const double careful = std::min({b.typical, b.strongest, b.soft});
    out.at_most = text(b.typical);
    out.careful = text(careful);
    out.order = std::min(careful, 1.0);
    if (careful < 1) out.because = soft ? b.soft_because : b.strongest <= b.typical ? b.because_strong : b.because;
    for (auto i = table->unstated_from[material]; i < table->unstated_from[material + 1]; ++i) {
        auto what = "the limit on " + plain(std::string(subject_name(model, *table->unstated[i].first)));
        if (std::find(out.unknown.begin(), out.unknown.end(), what) == out.unknown.end()) out.unknown.push_back(std::move(what));
    }
    const double unknown = 1 - m.known_typical;
    if (m.kind == MaterialKind::oil && (!m.composition_known || (unknown > kMuchUnknown + 1e-9 && format.contact != Contact::none))) {
        out.unknown.push_back(m.composition_known ? format_fixed(unknown * 100, 0, Rounding::up) + " % of its composition" : "its composition");
    }
    return out;
}

}  // namespace scruple::emit
