// The body of a raw string: `DELIMITER( … )DELIMITER"`. Asked for only behind R", so it costs other text nothing.
#include "tree_sitter/parser.h"

enum { RAW_BODY, RAW_REST, RECOVERY };
enum { LONGEST_DELIMITER = 16 };  // ISO C++ [lex.string]

void *tree_sitter_style_external_scanner_create(void) { return NULL; }
void tree_sitter_style_external_scanner_destroy(void *payload) { (void)payload; }
unsigned tree_sitter_style_external_scanner_serialize(void *payload, char *buffer) {
  (void)payload, (void)buffer;
  return 0;
}
void tree_sitter_style_external_scanner_deserialize(void *payload, const char *buffer, unsigned length) {
  (void)payload, (void)buffer, (void)length;
}

// An ill-formed opening ends at its line, as any string does.
static bool rest_of_line(TSLexer *lexer) {
  while (!lexer->eof(lexer) && lexer->lookahead != '\n' && lexer->lookahead != '\r') lexer->advance(lexer, false);
  lexer->mark_end(lexer);
  lexer->result_symbol = RAW_REST;
  return true;
}

bool tree_sitter_style_external_scanner_scan(void *payload, TSLexer *lexer, const bool *valid) {
  (void)payload;
  if (!valid[RAW_BODY] || valid[RECOVERY]) return false;
  int32_t delimiter[LONGEST_DELIMITER];
  int length = 0;
  while (lexer->lookahead != '(') {
    const int32_t c = lexer->lookahead;
    if (lexer->eof(lexer) || length == LONGEST_DELIMITER || c <= ' ' || c == ')' || c == '\\' || c == '"')
      return rest_of_line(lexer);
    delimiter[length++] = c;
    lexer->advance(lexer, false);
  }
  while (!lexer->eof(lexer)) {
    const bool closing = lexer->lookahead == ')';
    lexer->advance(lexer, false);
    if (!closing) continue;
    int matched = 0;
    while (matched < length && lexer->lookahead == delimiter[matched]) {
      lexer->advance(lexer, false);
      ++matched;
    }
    if (matched == length && lexer->lookahead == '"') {
      lexer->advance(lexer, false);
      lexer->mark_end(lexer);
      lexer->result_symbol = RAW_BODY;
      return true;
    }
  }
  lexer->mark_end(lexer);
  lexer->result_symbol = RAW_REST;
  return true;
}
