#include <catch2/catch.hpp>

#include "formula/fingerprint.h"
#include "base/sha256.h"
#include "unit/emit_builder.h"

using namespace emit_test;

TEST_CASE("SHA-256 gives the digests of its standard") {
    // NIST, examples to FIPS 180-4: SHA-256 of "abc" and of the 448-bit message; the empty message
    // and a million times "a" from the NIST test vectors (SHAVS).
    CHECK(sha256_hex("abc") ==
          "ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad");
    CHECK(sha256_hex("abcdbcdecdefdefgefghfghighijhijkijkljklmklmnlmnomnopnopq") ==
          "248d6a61d20638b8e5c026930c3e6039a33ce45964ff2167f6ecedd419db06c1");
    CHECK(sha256_hex("") ==
          "e3b0c44298fc1c149afbf4c8996fb92427ae41e4649b934ca495991b7852b855");
    CHECK(sha256_hex(std::string(1000000, 'a')) ==
          "cdc76e5c9914fb9281a1c7e284d73e67f1809a48a497200e046d39ccc7112cd0");
}

TEST_CASE("the normalised ratio is the promise that the fingerprint makes") {
    Usual room;
    const BlendId blend =
        room.blend("b", "B", {{room.saltbark, part(1)}, {room.quayside, part(2, 3)}});
    CHECK(normalised_ratio(room.model, room.model.blends[blend]) ==
          "scruple.blend/1\nvolume\nquayside 2\nsaltbark 3\n");
}

TEST_CASE("one ratio has one fingerprint, however it is written") {
    Usual room;
    const auto print = [&](std::vector<std::pair<MaterialId, Rational>> lines,
                           Measure measure = Measure::volume) {
        return fingerprint(
            room.model, room.model.blends[room.blend("b", "Any title", std::move(lines), measure)]);
    };
    const std::string first = print({{room.quayside, part(6)}, {room.saltbark, part(4)}});
    CHECK(first.size() == 16);
    CHECK(print({{room.saltbark, part(2)}, {room.quayside, part(3)}}) == first);
    CHECK(print({{room.saltbark, part(2, 5)}, {room.quayside, part(3, 5)}}) == first);
    CHECK(print({{room.saltbark, part(1)}, {room.quayside, part(3)}, {room.saltbark, part(1)}}) ==
          first);
    CHECK(print({{room.saltbark, part(2)}, {room.quayside, part(3)}}, Measure::mass) != first);
    CHECK(print({{room.saltbark, part(2)}, {room.quayside, part(3)}}, Measure::drops) != first);
    CHECK(print({{room.saltbark, part(2)}, {room.quayside, part(4)}}) != first);
    CHECK(print({{room.saltbark, part(2)}, {room.mistral, part(3)}}) != first);
}
