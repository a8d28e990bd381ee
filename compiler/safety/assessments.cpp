#include "safety/assessments.h"

#include <algorithm>

#include "base/date.h"
#include "formula/fingerprint.h"
#include "formula/wording.h"
#include "safety/ceiling.h"

namespace scruple {

std::vector<Coverage> coverage(const Model& model, const Product& product, const Formula& formula, std::string_view on) {
    std::vector<Coverage> out;
    if (!formula.complete) return out;
    std::string now;
    for (const Assessment& a : model.assessments) {
        if (a.header.broken || a.blend != product.blend) continue;
        if (now.empty()) now = fingerprint(model, model.blends[product.blend]);
        Coverage c;
        c.assessment = &a;
        c.fingerprint = now;
        c.ratio_changed = a.fingerprint != now;
        for (const auto& load : a.loads) {
            if (std::find(load.formats.begin(), load.formats.end(), product.format) != load.formats.end()) c.load = &load;
        }
        c.other_format = !c.load;
        c.over_load = c.load && !within_limit(formula.load_ww / c.load->most);
        c.over_date = !on.empty() && !a.until.empty() && is_after(on, a.until);
        out.push_back(std::move(c));
    }
    return out;
}

std::vector<std::string> outside_text(const Model& model, const Product& product, const Formula& formula, const Coverage& c) {
    std::vector<std::string> out;
    const Assessment& a = *c.assessment;
    if (c.ratio_changed) out.push_back("the ratio is another: its fingerprint is " + c.fingerprint + ", and " + a.fingerprint + " was assessed");
    const std::string format(model.formats[product.format].header.name);
    if (c.other_format) out.push_back(format + " is not among the formats that it covers");
    if (c.over_load) out.push_back("the blend is " + percent_text(formula.load_ww, 4) + " of the product, and it covers up to " + c.load->text + " % in " + format);
    if (c.over_date) out.push_back("it was good until " + a.until);
    return out;
}

void report_outside(const Model& model, const Product& product, const Formula& formula, std::string_view on, Bag& bag) {
    if (model.assessments.empty()) return;
    const auto all = coverage(model, product, formula, on);
    if (all.empty() || std::any_of(all.begin(), all.end(), [](const Coverage& c) { return c.covers(); })) return;
    std::vector<std::string> names;
    for (const Coverage& c : all) names.emplace_back(c.assessment->header.name);
    auto found = bag.add(Code::outside_assessment, load_place(product),
                         std::string(product.header.name) + " falls outside what " + list_text(names, 3) +
                             (all.size() == 1 ? " covers" : " cover"));
    for (const Coverage& c : all) {
        const std::string lead = all.size() == 1 ? std::string() : std::string(c.assessment->header.name) + ": ";
        for (const auto& reason : outside_text(model, product, formula, c)) found.note(lead + reason);
        found.also(c.assessment->header.name_span, "assessed here");
    }
    found.note("ask the assessor again before this is sold");
}

}  // namespace scruple
