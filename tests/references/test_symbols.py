"""QR symbols against the standard that defines them."""

from __future__ import annotations

import numpy as np

from scionary.files.symbols import qr_modules, read_symbols

CODE = "7KQ2M9X"  # seven characters of the alphanumeric set


# ISO/IEC 18004, symbol versions and sizes: version 1 measures 21 × 21 modules; character capacity of version 1 at level H in
# alphanumeric mode: 10 (from memory)
def test_seven_characters_at_level_h_fit_version_1() -> None:
    assert qr_modules(CODE).shape == (21, 21)
    assert qr_modules("A" * 10).shape == (21, 21)
    assert qr_modules("A" * 11).shape == (25, 25)


# ISO/IEC 18004, finder pattern: dark 7 × 7, light 5 × 5, dark 3 × 3, in three corners (from memory)
def test_finder_patterns_stand_in_three_corners() -> None:
    finder = np.ones((7, 7), bool)
    finder[1:6, 1:6] = False
    finder[2:5, 2:5] = True
    modules = qr_modules(CODE)
    for corner in (modules[:7, :7], modules[:7, -7:], modules[-7:, :7]):
        assert np.array_equal(corner, finder)


# ISO/IEC 18004, format information: the two bits of the recovery level are 10 for H, masked with 10 of 101010000010010 to 00 (from memory);
# they stand at row 8, columns 0 and 1
def test_format_information_says_level_h() -> None:
    assert qr_modules(CODE)[8, :2].tolist() == [False, False]


# ISO/IEC 18004, recovery level H: about 30 % of codewords can be restored (from memory)
def test_symbol_with_a_spot_on_it_is_still_read() -> None:
    modules = qr_modules(CODE)
    spotted = modules.copy()
    spotted[12:17, 15:20] = True  # 25 of 233 modules outside finder, timing and format
    assert not np.array_equal(modules, spotted)
    picture = np.where(np.kron(np.pad(spotted, 4), np.ones((8, 8), bool)), 0, 255).astype(np.uint8)
    assert [symbol.text for symbol in read_symbols(picture)] == [CODE]
