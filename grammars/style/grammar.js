// The host file and the style expressions in it. Regenerate src/ with ./regenerate (see DEVELOPERS.md).
//
// Two rules of the house:
//  * Total: every text has a parse without tree-sitter's own error recovery, so that one damaged style can never
//    take the next declaration with it. What is wrong has a node of its own: `unclosed`, `stray`, `junk`, `tail` …
//    A list ends, closed or not, at `;` `{` `}`, at a directive and at a word that starts a declaration.
//  * Punctuation is hidden (leading underscore): visiting a node from Python costs more than lexing it.
//
// The input has been masked by migrate/concrete/language.py: it is ASCII; a blank stands for NUL, \x7f for every byte
// above 127, so that names in any language are names.
/// <reference types="tree-sitter-cli/dsl" />

// arguments between brackets: `a, b`, with every comma that has no argument behind it a node
const more = ($, argument) => repeat(choice(seq($._comma, argument), $.stray))
const list = ($, argument) =>
  choice(
    seq(argument, more($, argument)),
    seq(repeat1($.stray), optional(seq(argument, more($, argument)))),
  )

const binary = ($, level, left, operator) =>
  prec.left(level, seq(left, operator, choice($._expression, alias($._junk_start, $.junk))))
// level of precedence, operator
const operators = $ => [[2, $._plus], [2, $._minus], [3, $._star], [3, $._slash], [3, $._percent], [1, $._shift]]

const atom = $ => [
  $.name, $.number, $.string, $.unterminated_string,
  $.application, $.unclosed, $.macro_call, $.unclosed_call, $.paren, $.unclosed_paren,
]
const nameless = $ => [$.number, $.string, $.unterminated_string, $.paren, $.unclosed_paren]
const punctuation = $ => [$._less, $._equals, $._dot, $._ellipsis, $._square_open, $._square_close, $._punctuation]
const signs = $ => [$._plus, $._minus]
const products = $ => [$._star, $._slash, $._percent, $._shift]
const closers = $ => [$._comma, $._greater, $._paren_close]

const junk = ($, first) =>
  prec.right(seq(choice(...first), repeat(choice($._atom, ...punctuation($), ...signs($), ...products($)))))
const tail = ($, first) =>
  prec.right(seq(choice(...first),
    repeat(choice($._atom, ...punctuation($), ...signs($), ...products($), ...closers($)))))

// the rest of a directive's line
const DIRECTIVE_REST = seq(
  repeat(choice(
    /[^"'\\\/\r\n]/, /\\\r?\n/, /\\[^\r\n]/, /\r+[^\r\n]/, /'/, /'(\\[^\r\n]|[^'\\\r\n])'/,
    /\/[^\/*"'\\\r\n]/,
    /"([^"\\\r\n]|\\\r?\n|\\[^\r\n])*"/,
    /\/\*[^*]*\*+([^\/*][^*]*\*+)*\//,
  )),
  optional(choice(
    /"([^"\\\r\n]|\\\r?\n|\\[^\r\n])*\\?/,
    /\/\/([^\r\n]|\\\r?\n|\r+[^\r\n])*/,
    /\/\*([^*]|\*+[^*\/])*\**/,
    /[\/\\]/,
  )),
)

module.exports = grammar({
  name: 'style',
  word: $ => $.name,
  extras: $ => [/[ \t\r\n\f\v]/, $.comment, $.unterminated_comment, $.conditional],
  externals: $ => [$._raw_body, $._raw_rest, $._recovery],
  conflicts: $ => [[$.dimension, $._tail_any]],

  rules: {
    file: $ => repeat($._item),

    // ---- the host file
    _item: $ => choice(
      $.directive, $.alias, $.using_namespace, $.using_other, $.template_head, $.typedef, $.constant,
      $.namespace, $.bare, $.table, $.other, $.open, $.close, $._semicolon,
    ),
    open: $ => $._brace_open,
    close: $ => $._brace_close,

    alias: $ => prec.right(seq($._using, $.name, $._equals, optional($._value), optional($._semicolon))),
    using_namespace: $ => prec.right(seq(
      $._using, $._namespace, optional($.name), optional(alias($._tail_loose, $.tail)), optional($._semicolon))),
    using_other: $ => prec.right(-1, seq(
      $._using, optional($.name), optional(alias($._tail_unequal, $.tail)), optional($._semicolon))),
    template_head: $ => prec.right(seq($._template, optional($._angle))),
    _angle: $ => prec.right(seq($._less, repeat(choice(
      $._angle, $.name, $.number, $.string, $.unterminated_string, $._template, $._const,
      $._equals, $._dot, $._ellipsis, $._square_open, $._square_close, $._punctuation, $.paren, $.unclosed_paren, $._paren_close, $._comma,
      ...signs($), ...products($))), optional($._greater))),
    typedef: $ => prec.right(seq($._typedef, optional(seq($._value, optional($.name))), optional($._semicolon))),
    constant: $ => prec.right(seq(
      $._specifier, repeat(choice($._specifier, $.name)),
      optional(choice(seq($._equals, optional($._value)), alias($._tail_unequal, $.tail))),
      optional($._semicolon))),
    _specifier: $ => choice($._const, $._constexpr, $._static, $._inline),
    namespace: $ => prec.right(seq($._namespace, optional($.name), optional(alias($._tail_after_name, $.tail)))),

    // a declaration's value, and what should not stand behind it
    _value: $ => prec.right(-3, choice(
      seq($._expression, optional($.tail)),
      alias($._tail_start, $.tail),
    )),

    // an expression or a call that stands by itself: a pasted fragment, or a macro that declares a style
    bare: $ => prec.right(seq(
      choice($.application, $.unclosed, $.macro_call, $.unclosed_call),
      optional($.tail), optional($._semicolon))),

    // `TYPE NAME = { … };` and `TYPE NAME[] = { … };`
    table: $ => prec.right(2, seq(
      $.name, $.name, optional($.dimension), $._equals, $._brace_open,
      optional($._entries), optional(seq($.close, optional($.tail))), optional($._semicolon))),
    dimension: $ => prec.dynamic(1, seq($._square_open, optional(choice($.name, $.number)), $._square_close)),
    _entries: $ => prec.right(-2, list($, $._entry_or_junk)),
    _entry_or_junk: $ => prec.right(-3, choice(
      seq(choice($.entry, $.unclosed_entry, $._expression), repeat($._ellipsis), optional($.junk)), alias($._junk_start, $.junk))),
    entry: $ => prec.right(1, seq($.application, $._paren_open, optional($._parameters), $._paren_close)),
    unclosed_entry: $ => prec.right(1, seq($.application, $._paren_open, optional($._parameters))),

    other: $ => prec.right(1, choice(
      seq($.name, optional($._semicolon)),
      seq($.name, alias($._tail_after_name, $.tail), optional($._semicolon)),
      seq($.name, $.name, optional(alias($._tail_any, $.tail)), optional($._semicolon)),
      seq(alias($._tail_loose, $.tail), optional($._semicolon)),
    )),

    stray: $ => prec(-4, $._comma),

    // ---- style expressions
    _expression: $ => choice(...atom($), $.arithmetic, $.dangling),
    application: $ => prec.right(1, seq($.name, $._less, optional($._arguments), $._greater)),
    unclosed: $ => prec.right(1, seq($.name, $._less, optional($._arguments))),
    macro_call: $ => prec.right(1, seq($.name, $._paren_open, optional($._parameters), $._paren_close)),
    unclosed_call: $ => prec.right(1, seq($.name, $._paren_open, optional($._parameters))),
    paren: $ => prec.right(1, seq($._paren_open, optional($._parameters), $._paren_close)),
    unclosed_paren: $ => prec.right(1, seq($._paren_open, optional($._parameters))),
    _arguments: $ => prec.right(-2, list($, $._argument)),
    _parameters: $ => prec.right(-2, list($, $._parameter)),
    // `Layers...` is the name alone; the dots lie in the gap behind it
    _argument: $ => prec.right(-3, choice(seq($._expression, repeat($._ellipsis), optional($.junk)), alias($._junk_start, $.junk))),
    // between parentheses `>` is an operator
    _parameter: $ => prec.right(-3, choice(
      seq(choice($._inner, alias($._shifted_dangling, $.dangling)), repeat($._ellipsis), optional($.junk)),
      alias($._junk_start, $.junk))),
    _inner: $ => prec(-3, choice($._expression, alias($._shifted, $.arithmetic))),
    _shifted: $ => prec.left(seq(
      $._inner, $._greater, optional($._again), $._expression)),
    _shifted_dangling: $ => prec(-1, seq($._inner, $._greater, optional($._again))),

    arithmetic: $ => choice(
      ...operators($).map(([level, operator]) => binary($, level, $._expression, operator)),
      prec(4, seq(choice(...signs($)), $._expression)),
    ),
    dangling: $ => choice(
      ...operators($).map(([level, operator]) => prec.right(level, seq($._expression, operator))),
      prec(-1, choice(...signs($))),
    ),

    _atom: $ => prec(-3, choice(...atom($))),
    junk: $ => junk($, [$._atom, ...punctuation($).filter(token => token.name !== '_ellipsis')]),
    _junk_start: $ => junk($, [...punctuation($), ...products($)]),
    tail: $ => tail($, [...nameless($), ...punctuation($), ...closers($)]),
    _tail_start: $ => tail($, [...punctuation($), ...products($), ...closers($)]),
    _tail_after_name: $ => tail($, [
      $.number, $.string, $.unterminated_string, $._square_open, $._square_close, $._equals, $._dot, $._ellipsis, $._punctuation,
      ...signs($), ...products($), ...closers($)]),
    _tail_unequal: $ => tail($, [
      ...nameless($), $._less, $._dot, $._ellipsis, $._square_open, $._square_close, $._punctuation,
      ...signs($), ...products($), ...closers($)]),
    _tail_any: $ => tail($, [$._atom, ...punctuation($), ...signs($), ...products($), ...closers($)]),
    _tail_loose: $ => tail($, [...nameless($), ...punctuation($), ...signs($), ...products($), ...closers($)]),

    // ---- tokens
    // one token with all its qualifiers; not over a line's end, where the next declaration may begin
    name: $ => /(::[ \t]*)?[A-Za-z_\x7f][A-Za-z0-9_\x7f]*([ \t]*::[ \t]*[A-Za-z_\x7f][A-Za-z0-9_\x7f]*)*/,
    number: $ => token(choice(
      /[0-9]('?[0-9])*([uU](ll?|LL?|[zZ])?|(ll?|LL?|[zZ])[uU]?)?/,
      /0[xX][0-9a-fA-F]('?[0-9a-fA-F])*([uU](ll?|LL?|[zZ])?|(ll?|LL?|[zZ])[uU]?)?/,
      /0[bB][01]('?[01])*([uU](ll?|LL?|[zZ])?|(ll?|LL?|[zZ])[uU]?)?/,
      /([0-9]('?[0-9])*\.([0-9]('?[0-9])*)?|\.[0-9]('?[0-9])*)([eE][+-]?[0-9]+)?[fFlL]?/,
      /[0-9]('?[0-9])*[eE][+-]?[0-9]+[fFlL]?/,
    )),
    string: $ => choice($._plain_string, seq($._raw_start, $._raw_body)),
    unterminated_string: $ => choice($._open_string, seq($._raw_start, $._raw_rest)),
    _plain_string: $ => /(u8|u|U|L)?"([^"\\\r\n]|\\\r?\n|\\[^\r\n])*"/,
    _open_string: $ => /(u8|u|U|L)?"([^"\\\r\n]|\\\r?\n|\\[^\r\n])*\\?/,
    _raw_start: $ => /(u8|u|U|L)?R"/,
    comment: $ => token(choice(
      /\/\/([^\r\n]|\\\r?\n|\r+[^\r\n])*/,
      /\/\*[^*]*\*+([^/*][^*]*\*+)*\//,
    )),
    unterminated_comment: $ => /\/\*([^*]|\*+[^*/])*\**/,
    // a directive goes on over a backslash at a line's end and over a comment; quotes hide comment openers
    conditional: $ => token(prec(1, seq(/#[ \t]*(if|ifdef|ifndef|elif|elifdef|elifndef|else|endif)/, DIRECTIVE_REST))),
    directive: $ => token(seq('#', DIRECTIVE_REST)),

    // A keyword has to be a string here, so these tokens stay visible; there are one or two in a declaration.
    _using: $ => 'using',
    _typedef: $ => 'typedef',
    _template: $ => 'template',
    _namespace: $ => 'namespace',
    _const: $ => 'const',
    _constexpr: $ => 'constexpr',
    _static: $ => 'static',
    _inline: $ => 'inline',

    _less: $ => /</,
    _greater: $ => />/,
    _again: $ => token.immediate(/>/),
    _comma: $ => /,/,
    _semicolon: $ => /;/,
    _paren_open: $ => /\(/,
    _paren_close: $ => /\)/,
    _brace_open: $ => /\{/,
    _brace_close: $ => /\}/,
    _square_open: $ => /\[/,
    _square_close: $ => /\]/,
    _equals: $ => /=/,
    _plus: $ => /\+/,
    _minus: $ => /-/,
    _star: $ => /\*/,
    _slash: $ => /\//,
    _percent: $ => /%/,
    _shift: $ => /<</,
    _dot: $ => /\./,
    _ellipsis: $ => /\.\.\./,
    _punctuation: $ => token(prec(-1, choice(
      /[^ \t\r\n\f\vA-Za-z0-9_\x7f"#(){}<>,;+\-*\/%=\[\].]/, /'(\\[^\r\n]{1,9}|[^'\\\r\n]{1,4})'/))),
  },
})
