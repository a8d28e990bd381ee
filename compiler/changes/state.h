// One side of a comparison: a formula document (`scruple.formula/1`), saved or just made, cut into its benches,
// blends and products. Both sides are read by the same reader, so that a saved document is judged as a fresh one is. A unit's facts
// are taken from its text only when its text differs.
#pragma once

#include <cstdint>
#include <memory>
#include <string>
#include <string_view>
#include <vector>

#include "changes/facts.h"

namespace scruple::changes {

enum class UnitKind : std::uint8_t { bench, blend, product };
std::string_view unit_kind_word(UnitKind kind);  // "bench"

struct Unit {
    std::string id;
    std::string_view text;  // its object in the document
    UnitKind kind = UnitKind::product;

    /// Taken apart when it is first asked for, and kept. Not for several threads at once.
    const std::vector<Fact>& facts() const;
    /// The same, kept only if it was kept before.
    std::vector<Fact> read_facts() const;
    const std::vector<Fact>* kept_facts() const { return facts_.get(); }

private:
    mutable std::shared_ptr<const std::vector<Fact>> facts_{};
};

/// An error that keeps the side from being whole. What breaks a limit is none: products stand in the document with it.
struct SideError {
    std::string code;
    std::string message;
    std::string file;       // empty where it has no place
    std::size_t line = 0;   // from 1
};

/// Errors that say how a product was judged. It was worked out all the same, and its facts tell the rest.
bool tells_how_judged(std::string_view code);

struct State {
    std::vector<std::shared_ptr<const std::string>> texts;  // what the views look into
    std::vector<Unit> benches;
    std::vector<Unit> blends;
    std::vector<Unit> products;
    std::vector<Fact> facts;  // of the collection as a whole
    std::vector<SideError> errors;

    /// Reads a document and adds what it holds. Gives what is wrong with it, and adds nothing then; empty: all is well.
    /// `made_now`: it comes from the emitter, and is known to be JSON.
    std::string add(std::string text, bool made_now = false);
};

/// The facts of a bench's, blend's or product's object. What a document lacks or has in another type is taken as not said.
std::vector<Fact> facts_of_bench(std::string_view text);
std::vector<Fact> facts_of_blend(std::string_view text);
std::vector<Fact> facts_of_product(std::string_view text);

}  // namespace scruple::changes
