// What the cards of the library share.
#pragma once

#include <string>
#include <utility>
#include <vector>

#include "emit/library.h"

namespace scruple::emit {

/// Facts without those that say nothing.
class Facts {
public:
    void add(std::string label, std::string text) {
        if (!text.empty()) facts_.emplace_back(std::move(label), std::move(text));
    }
    std::vector<std::pair<std::string, std::string>> take() { return std::move(facts_); }

private:
    std::vector<std::pair<std::string, std::string>> facts_;
};

Page card_of(const Header& header);
/// Under which names, by which lists, it is named on labels; empty where it is on none.
/// One of the two is given.
std::string label_text(const Model& model, SubstanceId substance, MaterialId material);
/// The cautions about a material, gravest first, and the usual dilutions that speak of it.
void add_material_cautions(Page& page, const Catalogue& catalogue, MaterialId material);
/// Remarks, every source once, and the closing line.
void add_card_end(Page& page, const Model& model, const std::vector<SourceId>& sources,
                  const std::vector<std::string>& remarks);

}  // namespace scruple::emit
