// Köder und Flöße
using böje = rgb<255, 90, 0>;  /* © the players */
