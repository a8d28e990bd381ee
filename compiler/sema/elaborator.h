// The working parts of elaborate(): one object a run, its methods spread over a file a subject. Internal to sema.
#pragma once

#include <array>
#include <deque>
#include <map>
#include <optional>
#include <set>
#include <string>
#include <string_view>
#include <tuple>
#include <unordered_map>
#include <unordered_set>
#include <utility>
#include <vector>

#include "base/function_ref.h"
#include "base/limits.h"
#include "diag/diagnostic.h"
#include "library/model.h"
#include "schema/schema.h"
#include "sema/cursor.h"
#include "sema/names.h"

namespace scruple {

/// What `of` names after a percentage.
enum class OfWord : std::uint8_t { none, total, base, fats, wax, blend, container, lye };

/// A number with its unit as written, judged by nobody yet.
struct Amount {
    Rational low, typical, high;   // equal for a single figure; in base units, percentages as fractions
    bool is_range = false;
    bool stated_typical = false;   // a single figure or a three-point range
    Dimension dimension;
    std::string currency;
    bool percent = false;
    std::optional<Basis> basis;
    OfWord of = OfWord::none;
    Span basis_span;
    DeclId let = kNoDecl;          // given by name
    Span span;
    Span number_span;

    bool bare() const { return !percent && dimension == kNumber; }
};

struct ProductParts;
struct LineParts;

/// Rows of a declaration without its closing brace may stand in another block than they were meant for.
inline bool never_closed(const Row& row) { return row.has_block && row.close == row.end; }

class Elaborator {
public:
    Elaborator(const Collection& collection, SourceMap& sources, const ResourceLimits& limits, Bag& bag);
    Model run(bool labels);
    Model run_library();

private:
    // --- reports.cpp: findings, and the names that nothing has
    DiagnosticBuilder report(Code code, Span span, std::string message);
    void unknown_name(std::uint32_t scope, NameSpace space, const Kinds& kinds, std::string_view name,
                      Span span);
    void report_unknown_names();
    void report_unknown_import(std::uint32_t scope, const std::string& alias, const std::vector<Span>& spans);
    /// What one row of a text gave: the first finding stays, its followers go.
    struct RowMark {
        std::size_t bag = 0;
        std::size_t log = 0;
    };
    RowMark mark_row() const { return {bag_.size(), unknown_log_.size()}; }
    void one_finding(RowMark mark, Span row);
    bool named_in_broken_text(std::uint32_t scope, std::string_view name);
    /// Guessing what was meant costs a pass over all names: the first findings, which people mend first, get it.
    bool may_suggest() { return suggestions_++ < 200; }
    void leftover(Cursor& cursor);

    // --- declare.cpp: headers and names
    void declare_all();
    void declare_row(const CollectionFile& file, std::uint32_t row);
    void note_varied(Cursor head);
    void declare_lot(Decl decl, Cursor cursor, Span kind);
    void check_docs(const CollectionFile& file);
    Header header_of(const Decl& decl) const;
    /// A cursor on what follows the name in a declaration's head, its title already read.
    Cursor after_name(const Decl& decl) const;

    // --- resolve.cpp: names to records, on demand
    DeclId resolve(std::uint32_t scope, NameSpace space, const Kinds& kinds, std::string_view name,
                   Span span);
    /// Reads a name at the cursor (several words are taken as one misspelt name).
    struct NameRead {
        DeclId decl = kNoDecl;
        Span span;
        std::string text;
    };
    NameRead read_name(Cursor& cursor, std::uint32_t scope, NameSpace space, const Kinds& kinds);
    bool begin(DeclId id);   // false: done already or busy (a circle, reported by the caller)
    void end(DeclId id, std::uint32_t record);

    MaterialId material(DeclId id);
    SubstanceId substance(DeclId id);
    CategoryId category(DeclId id);
    RuleSetId rule_set(DeclId id);
    FormatId format(DeclId id);
    BaseId base(DeclId id);
    BlendId blend(DeclId id);
    BenchId bench(DeclId id);
    SourceId cite(DeclId id);
    LotId lot(DeclId id);
    void limit(DeclId id);
    AudienceId audience(DeclId id);
    void caution(DeclId id, bool all);
    void guide(DeclId id, bool all);
    void allergen(DeclId id, bool all);
    void assessed(DeclId id);
    void harm(DeclId id, bool all);
    void let(DeclId id);
    void unit(DeclId id);

    // --- amounts.cpp
    const Unit* find_unit(std::uint32_t scope, std::string_view word);
    /// Reads a number or range with its unit; nullopt with the reason reported.
    std::optional<Amount> read_amount(Cursor& cursor, std::uint32_t scope);
    bool starts_amount(const Cursor& cursor, std::uint32_t scope);
    /// The figure as it was written, in the row of its `let` if it was given by name.
    std::string_view figure_text(const Amount& amount) const;
    void report_unit(Cursor& cursor, std::uint32_t scope, std::string_view word, Span span);
    bool read_basis(Cursor& cursor, Amount& amount);
    /// A single figure of one dimension, within bounds.
    std::optional<Amount> read_quantity(Cursor& cursor, std::uint32_t scope, Dimension dimension,
                                        std::string_view what, bool range_allowed = false);
    bool check_dimension(const Amount& amount, Dimension dimension, std::string_view what);
    bool check_positive(const Amount& amount, std::string_view what);
    /// A `let` percentage used of one thing only.
    void note_let_basis(const Amount& amount, std::string_view basis);
    SourceId read_by(Cursor& cursor, std::uint32_t scope);

    // --- fields.cpp: rows of a block against the schema
    using FieldHandler = FunctionRef<void(const FieldSpec&, std::uint32_t row, Cursor&)>;
    using RowHandler = FunctionRef<void(std::uint32_t row)>;
    void read_block(DeclId id, std::uint32_t block_row, const KindSpec& kind, const FieldHandler& on_field,
                    const RowHandler& on_row);
    std::vector<std::string> read_texts(const SyntaxTree& tree, std::uint32_t row, Cursor first);
    std::string read_text(Cursor& cursor);
    std::string_view read_word(Cursor& cursor, const FieldSpec& spec);
    std::vector<std::string_view> read_words(const SyntaxTree& tree, std::uint32_t row, Cursor first,
                                             const FieldSpec& spec);
    std::vector<std::pair<DeclId, Span>> read_names(const SyntaxTree& tree, std::uint32_t row, Cursor first,
                                                    std::uint32_t scope, NameSpace space,
                                                    const Kinds& kinds);
    std::optional<Rational> read_percent(Cursor& cursor, std::uint32_t scope, const FieldSpec& spec);
    SourceId read_source(Cursor& cursor);
    std::optional<Range> read_figure(Cursor& cursor, std::uint32_t scope, const FieldSpec& spec,
                                     std::optional<double>* at_c, SourceId* source);
    /// `opened`: the time that counts from opening, if one is given.
    std::optional<Rational> read_keeps(const SyntaxTree& tree, std::uint32_t row, Cursor first, std::uint32_t scope,
                                       std::optional<Rational>* opened = nullptr);
    bool first_item_only(const SyntaxTree& tree, std::uint32_t row);
    std::string read_day(Cursor& cursor);
    std::string read_date(Cursor& cursor);
    void check_cas(std::string_view cas, Span span);

    // --- materials.cpp, safety_kinds.cpp, formats.cpp
    void read_contains(DeclId id, std::uint32_t row, Material& material, bool only);
    void read_unknown(DeclId id, std::uint32_t row, Material& material);
    void add_groups(Material& material);
    /// What rows of a composition cover at typical figures: a total beside its parts counts once, and a group without
    /// parts is a rule's budget, not a constituent. Nothing where no row is a constituent.
    std::optional<double> known_share(const std::vector<Constituent>& contains) const;
    void read_diluted(Cursor& cursor, std::uint32_t scope, Material& material);
    void dissolve(Material& material, bool density_stated);
    void load_groups();
    void load_allergens(bool all);
    void load_harms(bool all);
    void load_limits(std::string_view subject, bool library);
    void start_like(DeclId id, Header& header, DeclId& like);

    // --- people.cpp
    std::vector<AudienceId> read_audience(const SyntaxTree& tree, std::uint32_t row, Cursor first, std::uint32_t scope);
    void read_subjects(const SyntaxTree& tree, std::uint32_t row, Cursor first, std::uint32_t scope, NameSpace space,
                       const Kinds& kinds, bool all, std::vector<std::uint32_t>& out,
                       FunctionRef<std::uint32_t(DeclId)> read);
    SourceId own_rule(const Decl& decl);
    std::vector<DeclId> in_library_order(Kind kind);
    void load_people(bool sheets);
    void load_all_people();

    // --- bases.cpp
    bool read_base_row(std::uint32_t scope, const SyntaxTree& tree, const Item& item, Cursor cursor, BasePhase& phase);
    void close_base(std::vector<BasePhase>& phases, Span span, std::string_view what);
    /// A named base, or a list: `named` stays kNone, and the list comes back as one phase.
    std::vector<BasePhase> read_in(std::uint32_t scope, const SyntaxTree& tree, Span where,
                                   const std::vector<Cursor>& items, BaseId& named);

    // --- blends.cpp, variations.cpp
    struct BlendRow {
        DeclId decl = kNoDecl;
        Amount amount;
        bool rest = false;
        Span span;
        Span name_span;
    };
    std::optional<BlendRow> read_blend_row(std::uint32_t scope, const SyntaxTree& tree, const Item& item,
                                           std::size_t skip);
    struct BlendDraft {
        std::vector<BlendRow> rows;
        std::optional<Measure> by;
        Span by_span;
    };
    void report_twice(const BlendDraft& draft);
    bool settle_measure(Blend& blend, const BlendDraft& draft, const Decl& decl);
    void finish_blend(Blend& blend, const BlendDraft& draft, const Decl& decl);
    class LinePlaces;
    bool add_line(Blend& blend, const BlendRow& row, const Rational& amount, LinePlaces& places,
                  std::string_view what = "blend");
    bool add_line(Blend& blend, const BlendRow& row, const Rational& amount, std::string_view what);
    void read_variation(DeclId id, Blend& blend, BlendDraft& draft);
    void apply_action(Field action, std::uint32_t scope, const SyntaxTree& tree, const Item& item, Cursor cursor,
                      const BlendDraft& before, BlendDraft& draft, std::vector<std::pair<DeclId, Span>>& touched);
    bool check_chain(DeclId id);
    bool too_long(std::size_t rows, const Decl& decl);
    DeclId variation_base(const Decl& decl);

    // --- trade_kinds.cpp: containers, prices, rates, and the fields that speak of money and work
    ContainerId container(DeclId id);
    void prices(DeclId id);
    void price_row(const Decl& decl, std::uint32_t row, std::uint32_t list);
    void rate(DeclId id);
    std::optional<Money> read_money(Cursor& cursor, std::uint32_t scope, std::string_view what, bool nothing_allowed = false);
    void read_container(const Decl& decl, Cursor& cursor, Product& product);
    void read_packaging(const Decl& decl, std::uint32_t row, Cursor first, Product& product);
    void read_work(const Decl& decl, std::uint32_t row, Cursor first, Product& product);
    std::optional<Rational> read_factor(Cursor& cursor, std::uint32_t scope, const FieldSpec& spec);

    // --- benches.cpp
    struct BenchDraft {
        Span first;                              // the amount that decided the measure
        std::vector<BlendRow> start;
        std::vector<std::vector<BlendRow>> rows; // by row of the bench: what it added, as written
    };
    struct MarkRead {
        BenchId bench = kNone;
        std::string_view mark;
        std::size_t row = 0;
        Span span;
    };
    std::string title_of(DeclId id) const;
    std::string take_remark(Cursor& cursor);
    bool read_bench_amount(Cursor& cursor, std::uint32_t scope, Bench& bench, BenchDraft& draft, BenchRow& row,
                           std::vector<BlendRow>& rows);
    bool read_strip(Cursor& cursor, std::uint32_t scope, BenchRow& row, std::unordered_set<DeclId>& seen);
    std::string_view read_mark(Cursor& cursor);
    std::optional<MarkRead> read_from(Cursor& cursor, const Decl& decl);
    /// What was in a beaker at a row, as written and as oils. Kept, since many may start from it.
    struct Poured {
        std::vector<BlendRow> rows;   // one an oil or accord
        Beaker beaker;
    };
    const Poured& poured(BenchId id, std::size_t rows);
    std::optional<Rational> read_taking(Cursor& cursor, std::uint32_t scope, const Bench& from, const Beaker& beaker,
                                        BenchStart& start);
    void read_bench_head(const Decl& decl, Bench& out, BenchDraft& draft);
    void read_blend_from(Cursor& head, const Decl& decl, Blend& blend, BlendDraft& draft);
    void check_pourings();

    // --- waivers.cpp
    void read_accept(Cursor& cursor, std::uint32_t scope, Product& product);
    std::optional<Amount> read_share(Cursor& cursor, std::uint32_t scope, std::string_view what);

    // --- lots.cpp
    void read_lots(const SyntaxTree& tree, std::uint32_t row, Cursor first, std::uint32_t scope, ProductParts& parts);
    void settle_lots(ProductParts& parts);
    void analyse(Material& material, const std::vector<Constituent>& stated, bool only);
    void check_lot_ranges(const Lot& lot, const Density* density, const std::vector<Constituent>& stated);
    void report_unknown_lots();

    // --- products.cpp, workshop.cpp
    void product(DeclId id);
    void line(DeclId id);
    void workshop(DeclId id);
    bool read_load(Cursor& cursor, std::uint32_t scope, ProductParts& parts);
    bool read_size(Cursor& cursor, std::uint32_t scope, ProductParts& parts);
    void product_field(DeclId id, const FieldSpec& spec, std::uint32_t row, Cursor& cursor, ProductParts& parts);
    void finish_product(ProductParts& parts);
    void line_row(DeclId id, std::uint32_t row, const LineParts& line);
    bool read_as(Cursor& cursor, std::string_view& as, Span& span);

    const Collection& collection_;
    SourceMap& sources_;
    const ResourceLimits& limits_;
    Bag& bag_;
    Names names_;
    Model model_;
    bool broken_ = false;  // an error was reported since the innermost begin()
    std::vector<std::pair<DeclId, bool>> open_;

    struct Use {
        std::vector<Span> spans;
        Kinds kinds;
    };
    std::map<std::tuple<std::uint32_t, NameSpace, std::string>, Use> unknown_;
    struct UnitEntry {
        bool known = false;
        Unit unit;
    };
    std::vector<std::unordered_map<std::string_view, UnitEntry>> units_;  // by scope, the library's last
    struct LetEntry {
        Amount amount;
        std::string basis;
        Span basis_span;
        bool good = false;
    };
    std::unordered_map<DeclId, LetEntry> lets_;
    std::unordered_map<MaterialId, Material> neat_;      // dilutions as they were before they were dissolved
    std::unordered_map<MaterialId, std::vector<MaterialId>> strengths_;  // of a dilution: those that it is like, of all above it
    std::unordered_map<BlendId, BlendDraft> drafts_;     // of the blends that a variation starts from
    std::unordered_map<BenchId, BenchDraft> bench_drafts_;
    std::map<std::pair<BenchId, std::size_t>, Poured> poured_;  // by bench and how many of its rows
    std::unordered_set<std::string_view> varied_;        // their names, as the heads of variations have them
    std::vector<Span> broken_rows_;                  // heads that could not be read as declarations
    std::vector<std::string> limit_subjects_done_;
    std::uint32_t suggestions_ = 0;
    bool any_broken_text_ = false;
    std::uint32_t too_long_told_ = 0xFFFFFFFF;
    std::unordered_set<std::string_view> broken_words_;  // of the first `broken_words_upto_` broken rows
    std::size_t broken_words_upto_ = 0;
    std::array<bool, kNameSpaceCount> nameless_{};   // a declaration there lost its name
    struct LoggedUse {
        std::tuple<std::uint32_t, NameSpace, std::string> key;
        Span span;
    };
    std::vector<LoggedUse> unknown_log_;             // in order of finding
    std::map<std::pair<FileId, std::uint32_t>, DeclId> let_uses_;  // by where the use begins
    std::set<std::pair<DeclId, Code>> let_told_;                   // what was said of a `let`'s figure
    std::unordered_set<std::uint32_t> broken_imports_;             // scopes with a `use` that could not be read
    Diagnostic sink_;                                              // takes what was said before
    DeclId workshop_ = kNoDecl;
    std::map<std::pair<std::uint32_t, std::string>, std::vector<Span>> unknown_lots_;  // by scope and number
    std::uint64_t line_count_ = 0;
};

}  // namespace scruple
