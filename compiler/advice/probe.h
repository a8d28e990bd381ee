// The question as recipe text that is laid over the collection, so that every answer comes by the one way through all
// phases: the blend in every format, the wanted product, and all oils that could stand in for another.
#pragma once

#include <string>
#include <string_view>
#include <vector>

#include "library/model.h"

namespace scruple {

struct ProbeFormat {
    std::string name;
    std::string size;  // "10 ml"
};

/// The library's formats and the collection's own, by name, each with the first of its sizes.
std::vector<ProbeFormat> probe_formats(const Model& own);

/// Names in the text start with this; the collection has no such name.
std::string probe_stem(const Model& own);

/// `wanted_load`: the row's words after the blend, such as "at 2 %"; empty: the format's usual.
struct ProbeText {
    std::string stem;
    std::string blend;
    std::vector<ProbeFormat> formats;  // one product for each
    std::string wanted_format;         // empty: no wanted product
    std::string wanted_size;
    std::string wanted_load;
};
std::string probe_text(const ProbeText& probe);

}  // namespace scruple
