// Whom a product is for, and what that asks of it: the cautions about what is in it, and the usual dilution, which is a
// second ceiling beside the one that rules give. Practice and advice, no law unless a source says so; nobody named is
// not the same as safe for everybody.
#pragma once

#include <cstdint>
#include <optional>
#include <vector>

#include "safety/judge.h"

namespace scruple {

/// A caution that something in the product calls for.
struct PersonalCaution {
    const Caution* caution = nullptr;
    std::vector<MaterialId> materials;  // of the product, in its order; empty: of everything in it
    bool meant = false;                 // it concerns those whom the product names
};

/// One figure of a guide that holds for the product.
struct UsualFigure {
    const Guide* guide = nullptr;
    const GuideRow* row = nullptr;
    AudienceId audience = kNone;        // of the product's, for whom it counts; kNone: for everybody
};

struct PeopleJudgement {
    std::vector<AudienceId> audience;   // whom it is read for
    bool named = false;                 // false: nobody is named, and these are assumed
    std::vector<PersonalCaution> cautions;  // those meant first, then what can hurt most
    bool guided = false;                // a guide holds for it
    UsualFigure usual;                  // the one that binds
    std::vector<UsualFigure> others;    // the other figures that hold, of this guide and others
    Ceiling ceiling;                    // the largest load that stays within all of them
    double strength = 0;                // w/w of the finished product: of its plant oils, or of those that the guide speaks of
    bool over = false;
    std::vector<AudienceId> unguided;   // of those named: no usual dilution is known here
    std::int64_t failing = 0;           // findings
    std::int64_t warning = 0;
};

/// Whether a group of people has anybody in common with another.
bool overlaps(const Model& model, AudienceId a, AudienceId b);

/// How much of `oil` a material is: all of it, the share that is dissolved in it, or nothing.
double counts_as(const Model& model, MaterialId material, MaterialId oil);
/// Whether a caution is about a material, by its name or by what it holds.
bool speaks_of(const Model& model, const Caution& caution, MaterialId material);

/// Law and standards keep an oil from people where they hold; everybody else advises.
bool keeps_from(const Model& model, const Caution& caution);

/// Which cautions speak of a material, looked up once for each. Not for several threads at once.
class CautionsOf {
public:
    explicit CautionsOf(const Model& model) : model_(model) {}
    /// Their places in the model's list, rising; of those about oils only.
    const std::vector<std::uint32_t>& operator[](MaterialId material);

private:
    const Model& model_;
    std::vector<std::optional<std::vector<std::uint32_t>>> found_;
};

/// What is looked at: only what is found for people whom the recipe names; the usual dilution of others too; and the
/// cautions for others as well.
enum class Care : std::uint8_t { findings, meant, all };

/// Findings go to the bag, and only for people whom the recipe names.
PeopleJudgement judge_people(const Model& model, CautionsOf& cautions_of, const Product& product, const BlendFigures& blend,
                             const Formula& formula, Care care, Bag& bag);

/// The verdict with what people ask of the product.
Verdict with_people(Verdict verdict, const PeopleJudgement& people);

/// "children of 2 to 6 years": as it stands inside a sentence.
const std::string& audience_text(const Model& model, AudienceId audience);
std::string audiences_text(const Model& model, const std::vector<AudienceId>& audiences);

}  // namespace scruple
