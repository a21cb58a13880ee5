constexpr int decimal = 1'000'000u, hexadecimal = 0xFF'00UL, octal = 0644, binary = 0b1010'1010;
using n = lots<0, -66, - 66, +7, 0x1Fu, 0XAB, 0B11, 017, 10zu, 10LL, 1'000, 76.4, .5, 5., 1e3, 1.5e-3f, 12.5L>;
using a = lots<1+2*3, (1+2)*3, -(4), 1 << 4, 7 % 4, 8/2/2, HALF(255) - 1, (255 >> 1), (2>1), a - -b, ((9))>;
