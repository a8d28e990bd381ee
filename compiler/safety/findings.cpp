#include "safety/findings.h"

#include <algorithm>
#include <string>
#include <vector>

#include "formula/wording.h"
#include "num/decimal.h"
#include "safety/ceiling.h"

namespace scruple {
namespace {

constexpr std::size_t kMostPlaces = 4;

class Reporter {
public:
    Reporter(const FindingContext& context, Bag& bag)
        : context_(context),
          model_(context.model),
          product_(context.product),
          bag_(bag),
          place_(load_place(context.product)) {}

    void run() {
        undiluted_ = std::any_of(context_.judgement.checks.begin(), context_.judgement.checks.end(),
                                 [](const Check& c) { return c.kind == CheckKind::undiluted; });
        for (const auto& check : context_.judgement.checks) {
            if (check.verdict != Verdict::fails && check.verdict != Verdict::warns) continue;
            switch (check.kind) {
                case CheckKind::undiluted: undiluted(); break;
                case CheckKind::phototoxic: phototoxic(check); break;
                case CheckKind::prohibited: prohibited(check); break;
                case CheckKind::harm: harm(check); break;
                case CheckKind::substance:
                case CheckKind::oil: over(check); break;
            }
        }
        unknown_compositions();
        unstated_limits();
    }

private:
    struct Bringer {
        const FormulaLine* line = nullptr;
        double fraction = 0;  // w/w of the product
    };

    std::string product_name() const { return std::string(product_.header.name); }
    std::string format_name() const { return std::string(context_.format.header.name); }

    std::string subject(const Check& check) const {
        if (check.substance != kNone)
            return std::string(model_.substances[check.substance].header.name);
        return material_name(model_, check.material);
    }
    std::string rules(const Check& check) const {
        if (!check.from || check.from->rules == kNone) return "its limit";
        return std::string(model_.rule_sets[check.from->rules].header.name);
    }
    std::string where(CategoryId category) const {
        if (category == kNone) return format_name();
        return std::string(model_.categories[category].header.name);
    }
    std::string limit_percent(const Check& check) const {
        if (check.row && !check.row->max_text.empty()) return check.row->max_text + " %";
        return percent_text(check.limit);
    }
    /// The actual figure with as many digits as it takes to read as more than the limit.
    std::string over_percent(double actual, double limit) const {
        for (int digits = 3; digits < 12; ++digits) {
            const std::string text = format_significant(actual * 100, digits);
            if (parse_number(text).value.to_double() > limit * 100) return text + " %";
        }
        return percent_text(actual, 12);
    }
    std::string standing_of(const Check& check) const {
        const Standing standing = check.row ? model_.standing(check.row->source) : Standing::maker;
        return standing == Standing::estimate ? "an estimate" : "worked out and not published";
    }

    /// How much of one material's weight counts as another.
    double counts_as(MaterialId material, MaterialId other) const {
        if (material == other) return 1;
        for (const auto& c : model_.materials[material].counts_as) {
            if (c.material == other) return c.share;
        }
        return 0;
    }

    std::vector<Bringer> bringers(const Check& check, bool at_maximum) const {
        std::vector<Bringer> found;
        for (const auto& line : context_.formula.lines) {
            double content = 0;
            if (check.substance == kNone) {
                content = counts_as(line.material, check.material);
            } else {
                for (const auto& c : model_.materials[line.material].contains) {
                    if (c.substance == check.substance)
                        content += at_maximum ? c.fraction.high : c.fraction.typical;
                }
            }
            if (content * line.fraction > 0) found.push_back({&line, content * line.fraction});
        }
        std::stable_sort(found.begin(), found.end(), [](const Bringer& a, const Bringer& b) {
            return a.fraction > b.fraction;
        });
        return found;
    }

    /// The row that it rests on, its remark, and the standing of both.
    void source_notes(DiagnosticBuilder& found, const Check& check) const {
        if (!check.row) return;
        SourceId source = check.row->source;
        if (source == kNone && check.from && check.from->rules != kNone) {
            const auto& sources = model_.rule_sets[check.from->rules].sources;
            if (!sources.empty()) source = sources[0];
        }
        found.note("the limit: " + source_words(model_, source));
        if (!check.row->remark.empty()) found.note(check.row->remark);
        if (check.row->span.known()) found.also(check.row->span, "the limit");
    }

    void bringer_notes(DiagnosticBuilder& found, const Check& check, bool at_maximum) const {
        const auto all = bringers(check, at_maximum);
        const bool itself = check.substance == kNone && all.size() == 1 &&
                            model_.unlotted(all[0].line->material) == check.material;
        if (!all.empty() && !itself) {
            std::vector<std::string> items;
            for (const auto& b : all)
                items.push_back(material_name(model_, b.line->material) + " " +
                                percent_text(b.fraction));
            found.note("brought by " + list_text(items, 6) +
                       (at_maximum ? ", at the top of their ranges" : ""));
        }
        for (std::size_t i = 0; i < all.size() && i < kMostPlaces; ++i) {
            if (!all[i].line->span.known()) continue;
            found.also(all[i].line->span, "brings " + percent_text(all[i].fraction));
        }
    }

    /// The load that would pass. `careful`: nothing even warns.
    void mend_note(DiagnosticBuilder& found, bool careful) const {
        const Ceiling& ceiling = careful ? context_.judgement.careful : context_.judgement.ceiling;
        if (ceiling.state == Ceiling::State::over_without_blend) {
            found.note("no load of this blend in this base passes");
        } else if (ceiling.state == Ceiling::State::bound && ceiling.in_basis > 0) {
            found.note("at most " + load_text(ceiling.text + " %", ceiling.basis, ceiling.of) +
                       " of this blend in " + format_name() +
                       (careful ? " stays under every figure known here, at the top of all ranges"
                                : " stays under every published limit known here"));
        } else if (ceiling.state == Ceiling::State::bound) {
            found.note("no load of this blend passes in " + format_name());
        }
    }

    std::string load_label() const {
        return "the blend is " + percent_text(context_.formula.load_ww) +
               " of the product by weight";
    }

    void over(const Check& check) {
        if (base_is_over(check)) return;
        if (undiluted_) return;  // one cause, one finding: it names what is over
        const std::string name = subject(check);
        const std::string in = " in " + where(check.category);
        if (check.verdict == Verdict::fails) {
            auto found =
                bag_.add(Code::over_limit, place_,
                         name + " comes to " + over_percent(check.actual, check.limit) + ", and " +
                             rules(check) + " allows " + limit_percent(check) + in);
            found.label(load_label());
            if (check.decided_by == DecidedBy::lot) found.note("by the lot's own analysis");
            finish(found, check, false, false);
        } else if (check.soft) {
            if (firm_fails(check)) return;  // the published limit has said it
            const bool typical = !within_limit(check.used);
            auto found = bag_.add(
                Code::over_derived, place_,
                name + (typical ? " comes to " : " may come to ") +
                    over_percent(typical ? check.actual : check.actual_at_maximum, check.limit) +
                    ", and " + rules(check) + ", " + standing_of(check) + ", gives " +
                    limit_percent(check) + in);
            found.label(load_label());
            finish(found, check, !typical, true);
        } else {
            auto found = bag_.add(Code::over_at_maximum, place_,
                                  name + " may come to " +
                                      over_percent(check.actual_at_maximum, check.limit) +
                                      ", typically " + percent_text(check.actual) + ", and " +
                                      rules(check) + " allows " + limit_percent(check) + in);
            found.label(load_label());
            found.note(check.decided_by == DecidedBy::lot
                           ? "the lot's own analysis reaches that far"
                           : "the composition ranges reach that far: a lot's own analysis would settle it");
            finish(found, check, true, true);
        }
    }

    void finish(DiagnosticBuilder& found, const Check& check, bool at_maximum, bool careful) const {
        if (check.waiver) found.also(check.waiver->span, "accepted up to " + check.waiver->ceiling_text + " %, and no further");
        source_notes(found, check);
        bringer_notes(found, check, at_maximum);
        mend_note(found, careful);
    }

    bool firm_fails(const Check& soft) const {
        for (const auto& other : context_.judgement.checks) {
            if (!other.soft && other.verdict == Verdict::fails &&
                other.substance == soft.substance && other.material == soft.material &&
                other.kind != CheckKind::phototoxic) {
                return true;
            }
        }
        return false;
    }

    /// A base that is over a published limit before any blend is added is the base's fault, and is
    /// told there.
    bool base_is_over(const Check& check) {
        if (check.verdict != Verdict::fails || within_limit(check.use.at_zero)) return false;
        const FormulaLine* worst = nullptr;
        for (const auto& b : bringers(check, false)) {
            if (b.line->role == LineRole::base) {
                worst = b.line;
                break;
            }
        }
        const Span place = product_.base_span.known() ? product_.base_span : place_;
        auto found = bag_.add(Code::over_without_blend, place,
                              (worst ? material_name(model_, worst->material) + " in the base"
                                     : std::string("the base")) +
                                  " brings " + subject(check) + " to " +
                                  over_percent(check.use.at_zero * check.limit, check.limit) +
                                  " before any blend, and " + rules(check) + " allows " +
                                  limit_percent(check) + " in " + where(check.category));
        found.label("over the limit by itself");
        source_notes(found, check);
        bringer_notes(found, check, false);
        found.note(check.use.slope < 0
                       ? "use less of it in the base, or another base"
                       : "use less of it in the base, or another base: no load of blend passes");
        return true;
    }

    void phototoxic(const Check& check) {
        if (undiluted_) return;
        std::vector<std::string> items;
        for (const auto& part : check.parts) {
            items.push_back(material_name(model_, part.material) + " " +
                            percent_text(part.fraction) + " of at most " +
                            percent_text(part.limit) + " (" +
                            percent_text(part.fraction / part.limit, 4) + ")");
        }
        const bool firm = check.verdict == Verdict::fails;
        std::string message;
        if (check.parts.size() == 1) {
            const auto& part = check.parts[0];
            message = material_name(model_, part.material) + " burns skin in sun: it comes to " +
                      over_percent(part.fraction, part.limit) + ", and at most " +
                      percent_text(part.limit) + " is allowed in " + where(check.category);
        } else {
            message = "oils that burn skin in sun come to " + percent_text(check.used, 4) +
                      " of what is allowed of them together: " + list_text(items);
        }
        auto found =
            bag_.add(firm ? Code::phototoxic_sum : Code::over_derived, place_, std::move(message));
        found.label(load_label());
        if (check.parts.size() > 1)
            found.note(
                "each oil's share of its own limit is added up, and the sum may be 100 % at most");
        std::size_t places = 0;
        for (const auto& part : check.parts) {
            std::string rule =
                part.from && part.from->rules != kNone
                    ? std::string(model_.rule_sets[part.from->rules].header.name) + ": "
                    : std::string();
            found.note(material_name(model_, part.material) + ", " + rule +
                       source_words(model_, part.row->source));
            if (part.row->span.known() && places++ < kMostPlaces) {
                found.also(part.row->span, "the limit of " + material_name(model_, part.material));
            }
        }
        mend_note(found, !firm);
    }

    void harm(const Check& check) {
        if (undiluted_) return;
        const bool typical = !within_limit(check.used);
        std::vector<std::string> items;
        for (const auto& part : check.harm_parts) {
            items.push_back(std::string(model_.substances[part.substance].header.name) + " " + percent_text(part.used) + " of its limit");
        }
        auto found = bag_.add(Code::harm_sum, place_,
                              "substances that do one harm (" + check.harm->header.title + (typical ? ") come to " : ") may come to ") +
                                  over_percent(typical ? check.used : check.used_at_maximum, 1) + " of their limits together");
        found.label(load_label());
        found.note(list_text(items) + (typical ? "" : ", typically"));
        found.note("the workshop has harms summed, to be careful: no published limit says so");
        if (check.harm->source != kNone) found.note(source_words(model_, check.harm->source));
        mend_note(found, true);
    }

    void prohibited(const Check& check) {
        const bool certain = check.verdict == Verdict::fails;
        const bool maybe = !(check.actual > 0);
        std::string message;
        if (check.substance != kNone) {
            message = product_name() + (maybe ? " may hold " : " holds ") + subject(check) + ", " +
                      percent_text(maybe ? check.actual_at_maximum : check.actual);
        } else {
            message = subject(check) + " is in " + product_name();
        }
        message += check.soft ? ", and " + rules(check) + ", " + standing_of(check) +
                                    ", has it left out in "
                              : ", and " + rules(check) + " forbids it in ";
        message += where(check.category);
        auto found = bag_.add(certain      ? Code::prohibited
                              : check.soft ? Code::over_derived
                                           : Code::over_at_maximum,
                              place_, std::move(message));
        source_notes(found, check);
        bringer_notes(found, check, maybe);
        found.note(maybe ? "a lot's own analysis would settle it"
                         : "take it out: no amount of it passes");
    }

    void undiluted() {
        auto found =
            bag_.add(Code::undiluted_on_skin, place_,
                     product_name() + " is undiluted blend, and " + format_name() +
                         (context_.format.contact == Contact::rinse_off ? " touches skin"
                                                                        : " stays on skin"));
        found.label("neat");
        found.note("plant oils are always diluted before they touch skin");
        std::vector<std::string> over;
        bool sun = false;
        for (const auto& check : context_.judgement.checks) {
            if (check.verdict != Verdict::fails) continue;
            sun = sun || check.kind == CheckKind::phototoxic;
            if (check.kind != CheckKind::substance && check.kind != CheckKind::oil) continue;
            over.push_back(subject(check) + " (" + over_percent(check.actual, check.limit) +
                           ", and " + rules(check) + " allows " + limit_percent(check) + ")");
        }
        if (!over.empty()) found.note("undiluted it is over the limit of " + list_text(over, 6));
        if (sun) found.note("undiluted it burns skin in sun");
        const Ceiling& ceiling = context_.judgement.ceiling;
        if (ceiling.state == Ceiling::State::bound) mend_note(found, false);
    }

    void unknown_compositions() {
        if (context_.format.contact == Contact::none) return;
        std::vector<std::string> names;
        double share = 0;
        for (const auto& u : context_.judgement.unknowns) {
            if (model_.materials[u.material].composition_known) continue;
            names.push_back(material_name(model_, u.material));
            share += u.share_of_product;
        }
        if (names.empty()) return;
        auto found = bag_.add(
            Code::unknown_composition, place_,
            "the composition of " + list_text(names) + " is not known: " + percent_text(share) +
                " of " + product_name() + " is not checked against the limits of substances");
        std::size_t places = 0;
        for (const auto& line : context_.formula.lines) {
            const auto& material = model_.materials[line.material];
            if (material.kind != MaterialKind::oil || material.composition_known ||
                !line.span.known())
                continue;
            if (places++ < kMostPlaces) found.also(line.span, "composition not known");
        }
        found.note("give it a `contains` from the supplier's certificate");
    }

    void unstated_limits() {
        const auto& rows = context_.judgement.unstated;
        if (rows.empty()) return;
        std::vector<std::string> items;
        for (const UnstatedLimit& limit : rows) {
            std::string name = limit.from->substance != kNone
                                   ? std::string(model_.substances[limit.from->substance].header.name)
                                   : material_name(model_, limit.from->material);
            name += (limit.actual_at_maximum > limit.actual ? " up to " : " ") + percent_text(limit.actual_at_maximum);
            if (limit.from->rules != kNone)
                name += " (" + std::string(model_.rule_sets[limit.from->rules].header.name) + ")";
            items.push_back(std::move(name));
        }
        const bool one = rows.size() == 1;
        auto found = bag_.add(Code::unstated_limit, place_,
                              (one ? "a limit exists whose figure is not known here, so "
                                   : "limits exist whose figures are not known here, so ") +
                                  product_name() + " is not checked against " + (one ? "it: " : "them: ") + list_text(items));
        std::size_t places = 0;
        std::vector<std::string_view> remarks;
        for (const UnstatedLimit& limit : rows) {
            if (limit.row->span.known() && places++ < kMostPlaces)
                found.also(limit.row->span, "stated without its figure");
            const std::string_view remark = limit.row->remark;
            if (remark.empty() || remarks.size() == kMostPlaces) continue;
            if (std::find(remarks.begin(), remarks.end(), remark) != remarks.end()) continue;
            remarks.push_back(remark);
            found.note(std::string(remark));
        }
        found.note("look the figure up, or ask the supplier, before this is sold");
    }

    const FindingContext& context_;
    const Model& model_;
    const Product& product_;
    Bag& bag_;
    Span place_;
    bool undiluted_ = false;
};

}  // namespace

void report_findings(const FindingContext& context, Bag& bag) {
    Reporter(context, bag).run();
}

}  // namespace scruple
