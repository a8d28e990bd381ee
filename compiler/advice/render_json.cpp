#include "advice/render.h"
#include "emit/json_text.h"
#include "emit/words.h"
#include "num/decimal.h"

namespace scruple {

using namespace emit;

namespace {

class AdviceJson {
public:
    explicit AdviceJson(const Advice& advice)
        : advice_(advice), model_(advice.compilation->model), blend_(model_.blends[advice.blend]) {}

    std::string run() {
        json_.open_object();
        json_.text("schema", "scruple.advice/1");
        json_.text("compiler", kVersion);
        json_.text("library", kLibraryEdition);
        json_.text("about", "advice, by the limits that this library knows; none of it is applied, and none of it is an approval");
        json_.text("blend", blend_.header.name);
        json_.text("counts", advice_.typical ? "published limits at typical composition" : "all figures known, at the tops of ranges");
        json_.array("formats");
        for (const auto& f : advice_.formats) {
            const Judgement& j = advice_.compilation->judgements[f.product];
            json_.open_object();
            json_.text("format", model_.formats[f.format].header.name);
            write_ceilings(j);
            write_not_known(j);
            json_.close_object();
        }
        json_.close_array();
        json_.array("products");
        for (const auto& a : advice_.products) write_product(a);
        json_.close_array();
        json_.array("fewer_parts");
        for (const auto& pack : advice_.packs) {
            json_.open_object();
            json_.whole("total", pack.total);
            json_.list("parts");
            for (const auto p : pack.parts) json_.whole(p);
            json_.close_array();
            json_.number("worst_relative_change", pack.worst);
            json_.number("distance", pack.distance);
            json_.close_object();
        }
        json_.close_array();
        json_.array("swaps");
        for (const auto& s : advice_.swaps) write_swap(s);
        json_.close_array();
        json_.close_object();
        return json_.take();
    }

private:
    std::string_view name(MaterialId id) const { return model_.materials[id].header.name; }

    void write_ceiling(const char* key, const Ceiling& c, const Judgement& j) {
        json_.object(key);
        json_.text("state", ceiling_state_word(c.state));
        json_.key("percent");
        if (c.state == Ceiling::State::bound) {
            json_.decimal(c.text);
        } else {
            json_.null();
        }
        json_.text("basis", basis_word(c.basis));
        json_.text("of", of_word(c.of));
        const Check* check = j.check(c.bound_by);
        json_.text_or_null("bound_by", check ? subject_name(model_, *check) : std::string());
        json_.text_or_null("limit", check ? limit_text(*check) : std::string());
        json_.text_or_null("rules", check && check->from ? std::string(model_.rule_sets[check->from->rules].header.name) : std::string());
        json_.close_object();
    }

    void write_ceilings(const Judgement& j) {
        write_ceiling("ceiling", j.ceiling, j);
        write_ceiling("careful", j.careful, j);
    }

    void write_not_known(const Judgement& j) {
        json_.array("not_known");
        for (const auto& text : not_known(model_, j)) json_.text(text);
        json_.close_array();
    }

    void write_parts(const char* key, const ProductAdvice& a, const WholeParts& parts, const std::string& variation) {
        if (!parts.found) return json_.null(key);
        json_.object(key);
        json_.whole("total", parts.total);
        json_.number("distance", parts.distance);
        json_.whole("changed", parts.changed);
        json_.boolean("all_ratios_tried", parts.all_tried);
        json_.text("verdict", verdict_word(parts.trial.judgement.verdict));
        json_.array("lines");
        for (std::size_t i = 0; i < parts.parts.size(); ++i) {
            json_.open_row();
            json_.text("name", name(a.now.blend.lines[i].material));
            json_.whole("parts", parts.parts[i]);
            json_.number("share_ww", parts.shares[i]);
            json_.close_object();
        }
        json_.close_array();
        write_not_known(parts.trial.judgement);
        json_.text("variation", variation);
        json_.close_object();
    }

    static std::string_view state_word(const ProductAdvice& a) {
        if (a.rows.state == ShareRows::State::undiluted) return "undiluted";
        if (a.rows.state == ShareRows::State::too_many) return "too_many";
        if (a.rows.state == ShareRows::State::not_known) return "not_known";
        switch (a.nearest.state) {
            case Nearest::State::there: return "nothing_to_mend";
            case Nearest::State::found: return "found";
            case Nearest::State::impossible: return a.parts.found ? "found" : "impossible";
        }
        return "not_known";
    }

    void write_product(const ProductAdvice& a) {
        json_.open_object();
        json_.text_or_null("product", a.product ? std::string(a.product->header.name) : std::string());
        json_.text("format", model_.formats[a.task.product.format].header.name);
        json_.text("load", load_text(a.task.product.load));
        json_.key("load_ww");
        if (a.now.formula.complete) {
            json_.number(a.now.formula.load_ww);
        } else {
            json_.null();
        }
        json_.text("verdict", verdict_word(a.now.judgement.verdict));
        write_ceilings(a.now.judgement);
        write_not_known(a.now.judgement);
        json_.text("state", state_word(a));
        json_.array("lines");
        for (std::size_t i = 0; i < a.rows.now.size(); ++i) {
            json_.open_row();
            json_.text("name", name(a.now.blend.lines[i].material));
            json_.text("amount", parts_text(a.task.blend, a.task.blend.lines[i].amount));
            json_.number("share_ww", a.rows.now[i]);
            json_.close_object();
        }
        json_.close_array();
        if (a.rows.state == ShareRows::State::linear && a.nearest.state == Nearest::State::found) {
            json_.object("nearest");
            json_.number("distance", a.nearest.distance);
            json_.whole("changed", a.nearest.changed);
            json_.boolean("fewest", a.nearest.fewest);
            json_.array("shares_ww");
            for (std::size_t i = 0; i < a.nearest.shares.size(); ++i) {
                json_.open_row();
                json_.text("name", name(a.now.blend.lines[i].material));
                json_.number("share_ww", a.nearest.shares[i]);
                json_.close_object();
            }
            json_.close_array();
            json_.close_object();
        } else {
            json_.null("nearest");
        }
        write_parts("in_parts", a, a.parts, a.variation);
        write_parts("in_parts_all_kept", a, a.all_kept, a.variation_all_kept);
        write_rules(a.rows);
        json_.key("most_of_any_ratio_ww");
        if (a.most.found) {
            json_.number(a.most.load_ww);
        } else {
            json_.null();
        }
        json_.close_object();
    }

    /// Every limit as a row over the shares, so that others can solve it too: kept where the sum of use times share is at
    /// most the sum of thin times share.
    void write_rules(const ShareRows& rows) {
        if (rows.state != ShareRows::State::linear) return json_.null("program");
        json_.object("program");
        json_.list("thin");
        for (const double x : rows.thin) json_.decimal(format_shortest(x));
        json_.close_array();
        json_.list("banned");
        for (const char b : rows.banned) json_.boolean(b != 0);
        json_.close_array();
        json_.boolean("base_banned", rows.base_banned);
        json_.array("rows");
        for (std::size_t r = 0; r < rows.rows.size(); ++r) {
            json_.open_object();
            json_.text("of", rows.rows[r].guide ? std::string(rows.rows[r].guide->header.name)
                                                : subject_name(model_, row_as_check(rows, r, rows.now)));
            json_.list("use");
            for (const double x : rows.rows[r].use) json_.decimal(format_shortest(x));
            json_.close_array();
            json_.close_object();
        }
        json_.close_array();
        json_.close_object();
    }

    void write_names(const char* key, const std::vector<std::string>& names) {
        json_.array(key);
        for (const auto& n : names) json_.text(n);
        json_.close_array();
    }

    void write_swap(const Swap& s) {
        json_.open_object();
        json_.text("out", name(s.out));
        json_.text("in", name(s.in));
        json_.number("shared", s.alike.shared);
        json_.boolean("same_odour", s.alike.same_odour);
        json_.whole("price_tier_out", s.tier_out);
        json_.whole("price_tier_in", s.tier_in);
        json_.number("saving_on_100_g", s.saving);
        json_.text_or_null("currency", s.saving ? advice_.currency : std::string());
        json_.boolean("price_old", s.stale);
        json_.number("odour_before", s.odour_before);
        json_.number("odour_after", s.odour_after);
        json_.number("top_change", s.top);
        json_.number("middle_change", s.middle);
        json_.number("base_change", s.base);
        json_.object("before");
        write_ceilings(s.before.judgement);
        json_.close_object();
        json_.object("after");
        write_ceilings(s.after.judgement);
        write_not_known(s.after.judgement);
        json_.close_object();
        write_names("allergens_gained", s.allergens_gained);
        write_names("allergens_lost", s.allergens_lost);
        write_names("cautions_gained", s.cautions_gained);
        write_names("cautions_lost", s.cautions_lost);
        json_.text("variation", s.variation);
        json_.close_object();
    }

    const Advice& advice_;
    const Model& model_;
    const Blend& blend_;
    JsonText json_;
};

}  // namespace

std::string advice_json(const Advice& advice) { return AdviceJson(advice).run(); }

}  // namespace scruple
