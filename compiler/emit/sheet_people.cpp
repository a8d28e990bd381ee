// What a product's page says of people: whom it is for, the usual dilution for them, and the cautions about what is in
// it. Advice and practice; nothing here may read as an approval or as a medical claim.
#include <algorithm>
#include <tuple>

#include "emit/page.h"
#include "emit/people.h"
#include "emit/words.h"
#include "formula/wording.h"
#include "num/decimal.h"

namespace scruple::emit {
namespace {

constexpr std::size_t kCautionsShown = 3;
constexpr std::size_t kAudiencesNamed = 6;

using PeopleFacts = std::vector<std::pair<std::string, std::string>>;

/// "Children of 2 to 6 years": as a heading of its own.
std::string capital(std::string text) {
    if (!text.empty() && text[0] >= 'a' && text[0] <= 'z') text[0] = static_cast<char>(text[0] - 'a' + 'A');
    return text;
}

/// "Menthol-rich: …" inside a sentence, but "EU rules …" as it is.
std::string small(std::string text) {
    const bool word = text.size() > 1 && (text[1] == ' ' || (text[1] >= 'a' && text[1] <= 'z'));
    if (word && text[0] >= 'A' && text[0] <= 'Z') text[0] = static_cast<char>(text[0] - 'A' + 'a');
    return text;
}

std::string for_whom(const Model& model, const UsualFigure& f) {
    if (f.audience == kNone) return plain(f.guide->header.title);
    const auto& guided = f.guide->audience;
    // The guide's own group where it is narrower than the one that the product names.
    const bool narrower = guided.size() == 1 && model.audiences[guided[0]].leaves.size() < model.audiences[f.audience].leaves.size();
    return plain(audience_text(model, narrower ? guided[0] : f.audience));
}

std::string usual_figure_text(const GuideRow& row) { return row.none ? "none at all" : exact_percent(row.high) + " %"; }

/// Several sources and oils that say the same to the same people.
struct Said {
    const PersonalCaution* first = nullptr;
    std::string label;
    std::vector<std::string> oils;
    std::vector<std::string> standings;
};

std::vector<Said> merged_cautions(const Model& model, const PeopleJudgement& people) {
    std::vector<Said> out;
    const auto add = [](std::vector<std::string>& list, std::string text) {
        if (std::find(list.begin(), list.end(), text) == list.end()) list.push_back(std::move(text));
    };
    for (const PersonalCaution& c : people.cautions) {
        auto same = std::find_if(out.begin(), out.end(), [&](const Said& s) {
            return s.first->caution->text == c.caution->text && s.first->caution->audience == c.caution->audience &&
                   s.oils.empty() == c.materials.empty();
        });
        if (same == out.end()) {
            same = out.insert(out.end(), Said{});
            same->first = &c;
            same->label = c.caution->audience.empty() ? "Anybody" : capital(plain(audiences_text(model, c.caution->audience)));
        }
        for (const MaterialId m : c.materials) add(same->oils, title_of(model, m));
        for (const SourceId s : c.caution->sources) add(same->standings, std::string(standing_word(model.standing(s))));
    }
    return out;
}

/// The first few: those meant, then by rank; where two are as grave, the one for people of whom nothing was said yet.
std::vector<std::size_t> most_serious(const std::vector<Said>& all, std::size_t most) {
    std::vector<std::size_t> out;
    std::vector<std::string> told;
    while (out.size() < std::min(most, all.size())) {
        std::size_t best = all.size();
        const auto key = [&](std::size_t i) {
            const bool again = std::find(told.begin(), told.end(), all[i].label) != told.end();
            return std::tuple(!all[i].first->meant, all[i].first->caution->rank, again, i);
        };
        for (std::size_t i = 0; i < all.size(); ++i) {
            if (std::find(out.begin(), out.end(), i) != out.end()) continue;
            if (best == all.size() || key(i) < key(best)) best = i;
        }
        out.push_back(best);
        told.push_back(all[best].label);
    }
    return out;
}

}  // namespace

void add_audience(PeopleFacts& facts, const Document& document, ProductId id) {
    if (!document.people) return;
    const PeopleJudgement& people = (*document.people)[id];
    if (people.audience.empty()) return;
    const std::string text = plain(audiences_text(*document.model, people.audience));
    facts.emplace_back("For", people.named ? text : "nobody is named, so it is read as for " + text);
}

void add_usual(PeopleFacts& facts, const Document& document, ProductId id) {
    if (!document.people) return;
    const Model& model = *document.model;
    const PeopleJudgement& people = (*document.people)[id];
    const std::string unguided =
        people.unguided.empty() ? "" : "not known here for " + plain(audiences_text(model, people.unguided));
    if (!people.guided) {
        if (!unguided.empty()) facts.emplace_back("Usual dilution", unguided);
        return;
    }
    const OwnBasis own = own_basis(model, model.products[id]);
    const UsualFigure& f = people.usual;
    const std::string of_oil = f.guide->of_oils ? ", from " + usual_figure_text(*f.row) + " of " + plain(f.guide->header.title) : "";
    std::string text;
    if (f.row->none) {
        text = "none at all for " + for_whom(model, f);
    } else if (people.ceiling.state == Ceiling::State::bound) {
        text = "at most " + people.ceiling.text + " % of this blend, " + basis_text(own.basis, own.of) + ", for " + for_whom(model, f) + of_oil;
    } else if (people.ceiling.state == Ceiling::State::over_without_blend) {
        text = "the base alone is above the " + usual_figure_text(*f.row) + " for " + for_whom(model, f);
    } else {
        text = "at most " + usual_figure_text(*f.row) + " for " + for_whom(model, f) + ", which no load of this blend reaches";
    }
    facts.emplace_back("Usual dilution", text);
    if (people.over) {
        facts.emplace_back("", "THIS PRODUCT IS ABOVE IT: " + percent_text(people.strength) + " % of it is " +
                                   (f.guide->of_oils ? plain(f.guide->header.title) : std::string("plant oil")));
    }
    facts.emplace_back("", "practice, no law; source, " + plain(source_words(model, f.row->source)));
    std::vector<std::string> others;
    for (const UsualFigure& o : people.others) {
        if (o.guide != f.guide) continue;
        std::string figure = usual_figure_text(*o.row);
        if (figure != usual_figure_text(*f.row) && std::find(others.begin(), others.end(), figure) == others.end()) others.push_back(std::move(figure));
    }
    if (!others.empty()) facts.emplace_back("", "other sources say " + list_text(others) + "; the strictest counts");
    if (!unguided.empty()) facts.emplace_back("", unguided);
}

void add_personal_cautions(Page& page, const Document& document, ProductId id) {
    if (!document.people) return;
    const Model& model = *document.model;
    const PeopleJudgement& people = (*document.people)[id];
    const auto all = merged_cautions(model, people);
    if (all.empty()) return;
    const auto order = most_serious(all, document.all_cautions ? all.size() : kCautionsShown);
    page.paragraph(all[order.front()].first->meant ? "On what is in it, first for those whom it is for:"
                   : people.named                  ? "On what is in it, the gravest first:"
                                                   : "On what is in it, the gravest first. Nobody is named, and that makes it safe for nobody:");
    PeopleFacts facts;
    std::string label;
    for (const std::size_t i : order) {
        const Said& said = all[i];
        std::string text = plain(said.first->caution->text);
        if (!said.oils.empty()) text = list_text(said.oils) + ": " + small(std::move(text));
        text += " (" + list_text(said.standings) + ")";
        facts.emplace_back(said.label == label ? std::string() : said.label, text);
        label = said.label;
    }
    page.facts(std::move(facts));
    const std::size_t hidden = all.size() - order.size();
    if (hidden > 0) {
        std::vector<std::string> labels;
        std::size_t unnamed = 0;
        for (std::size_t i = 0; i < all.size(); ++i) {
            if (std::find(order.begin(), order.end(), i) != order.end()) continue;
            const auto& audience = all[i].first->caution->audience;
            const std::string text = audience.empty() ? "anybody" : plain(audiences_text(model, audience));
            if (std::find(labels.begin(), labels.end(), text) != labels.end()) continue;
            if (labels.size() < kAudiencesNamed) labels.push_back(text);
            else ++unnamed;
        }
        if (unnamed > 0) labels.emplace_back("others");
        page.paragraph("And " + std::to_string(hidden) + " more, for " + list_text(labels) + ": `scruple build --all-cautions` prints them all.");
    }
    page.paragraph("For everybody:");
}

std::string conservation_text(const Model& model, const Formula& formula) {
    std::vector<std::string> listed, others;
    std::vector<MaterialId> seen;
    for (const FormulaLine& line : formula.lines) {
        const Material& m = model.materials[line.material];
        if (m.conservation.empty() && m.cites_appendix.empty()) continue;
        if (std::find(seen.begin(), seen.end(), line.material) != seen.end()) continue;
        seen.push_back(line.material);
        if (m.cites_appendix.empty()) others.push_back(title_of(model, line.material));
        else listed.push_back(title_of(model, line.material) + " is in CITES Appendix " + appendix_text(m.cites_appendix));
    }
    std::string text;
    if (!listed.empty()) text = list_text(listed) + ", so trade across borders may need papers.";
    if (!others.empty()) {
        text += (text.empty() ? "" : " ") + std::string("How threatened the plant is, `scruple library NAME` tells of ") + list_text(others) + ".";
    }
    return text;
}

std::string appendix_text(std::string_view word) {
    std::string out(word);
    for (char& c : out) c = static_cast<char>(c - 'a' + 'A');
    return out;
}

}  // namespace scruple::emit
