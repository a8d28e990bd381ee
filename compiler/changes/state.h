// One side of a comparison: a formula document (`scruple.formula/1`), saved or about to be written, cut into its benches,
// blends and products. Of both the same values are read, so that a saved document is judged as a fresh one is. A unit is
// read when it is looked at, and nothing of it is kept.
#pragma once

#include <cstdint>
#include <memory>
#include <string>
#include <string_view>
#include <vector>

#include "base/function_ref.h"
#include "changes/facts.h"
#include "emit/document.h"
#include "emit/values.h"

namespace scruple::changes {

enum class UnitKind : std::uint8_t { bench, blend, product };
std::string_view unit_kind_word(UnitKind kind);  // "bench"

struct Unit {
    std::string id;
    UnitKind kind = UnitKind::product;
    std::string_view text;               // its object in a saved document
    const Document* document = nullptr;  // the one that it is in, where there is no text
    std::uint32_t index = 0;             // in the document's model
    Wanted wanted{};                     // what can differ at all; the rest of a document is not read

    /// What the document says of it, in place of what `out` held.
    void read(emit::Values& out) const;
    /// Taken from its values when they are first asked for, and kept. Not for several threads at once.
    const std::vector<Fact>& facts() const;

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
    std::vector<std::shared_ptr<const void>> kept;  // what the units look into
    std::vector<Unit> benches;
    std::vector<Unit> blends;
    std::vector<Unit> products;
    std::vector<Fact> facts;  // of the collection as a whole
    std::vector<SideError> errors;

    /// Reads a document and adds what it holds. Gives what is wrong with it, and adds nothing then; empty: all is well.
    /// `made_now`: it comes from the emitter, and is known to be JSON.
    std::string add(std::string text, bool made_now = false);
    /// Adds what would be written of the document. What it points to must outlive the state. `wanted_of`: what of a
    /// declaration, by its name, can differ from the other side at all; null: everything.
    void add(std::shared_ptr<const Document> document, FunctionRef<Wanted(std::string_view)> wanted_of = nullptr);

private:
    void add_facts(std::vector<Fact> more);
};

/// The facts of a bench's, blend's or product's object. What a document lacks or has in another type is taken as not said.
std::vector<Fact> facts_of_bench(emit::Value bench);
std::vector<Fact> facts_of_blend(emit::Value blend);
std::vector<Fact> facts_of_product(emit::Value product);
std::vector<Fact> facts_of(UnitKind kind, emit::Value unit);

}  // namespace scruple::changes
