package formula

import (
	"fmt"
	"math"
	"strconv"
	"strings"
	"unicode/utf8"
)

// Parse reads a formula. An error names the column, counted in characters
// from 1, and what was expected there.
func Parse(s string) (*Expr, error) {
	if len(s) > maxLength {
		return nil, fmt.Errorf("formula of %d bytes, want at most %d", len(s), maxLength)
	}
	p := &parser{src: s}
	p.next()
	root, err := p.binary(orLevel)
	if err == nil && p.tok != "" {
		err = p.expected("an operator or the end")
	}
	if err != nil {
		return nil, err
	}
	e := &Expr{root}
	if n := len(e.String()); n > maxLength {
		return nil, fmt.Errorf("formula of %d bytes when spaced, want at most %d", n, maxLength)
	}
	return e, nil
}

// A parser reads src by recursive descent, one token ahead.
type parser struct {
	src   string
	tok   string // the token at hand; "" at the end
	at    int    // where tok begins
	end   int    // where tok ends
	depth int
}

// next moves to the token after tok.
func (p *parser) next() {
	p.at = p.end
	for p.at < len(p.src) && strings.IndexByte(" \t\r\n", p.src[p.at]) >= 0 {
		p.at++
	}
	p.end = p.at + tokenLength(p.src[p.at:])
	p.tok = p.src[p.at:p.end]
}

// tokenLength returns how much of s is its first token; a character that
// belongs to none is a token of its own, which no rule will take.
func tokenLength(s string) int {
	switch {
	case s == "":
		return 0
	case isDigit(s[0]):
		return numberLength(s)
	case isLetter(s[0]):
		n := 1
		for n < len(s) && (isLetter(s[n]) || isDigit(s[n])) {
			n++
		}
		return n
	case strings.HasPrefix(s, "<="), strings.HasPrefix(s, ">="), strings.HasPrefix(s, "=="):
		return 2
	}
	for i := range s {
		if i > 0 {
			return i
		}
	}
	return len(s)
}

// numberLength returns the length of the number s begins with.
func numberLength(s string) int {
	n := digitsLength(s)
	if n < len(s) && s[n] == '.' {
		if d := digitsLength(s[n+1:]); d > 0 {
			n += 1 + d
		}
	}
	if n < len(s) && (s[n] == 'e' || s[n] == 'E') {
		sign := 0
		if n+1 < len(s) && (s[n+1] == '+' || s[n+1] == '-') {
			sign = 1
		}
		if d := digitsLength(s[n+1+sign:]); d > 0 {
			n += 1 + sign + d
		}
	}
	return n
}

func digitsLength(s string) int {
	n := 0
	for n < len(s) && isDigit(s[n]) {
		n++
	}
	return n
}

func isDigit(c byte) bool { return '0' <= c && c <= '9' }

func isLetter(c byte) bool { return 'a' <= c && c <= 'z' || 'A' <= c && c <= 'Z' || c == '_' }

func (p *parser) column() int { return utf8.RuneCountInString(p.src[:p.at]) + 1 }

func (p *parser) expected(what string) error {
	if p.tok == "" {
		return fmt.Errorf("column %d: the formula ends where %s is expected", p.column(), what)
	}
	return fmt.Errorf("column %d: %q where %s is expected", p.column(), p.tok, what)
}

// binary reads operands joined by operators of level or tighter.
func (p *parser) binary(level int) (*node, error) {
	if level > productLevel {
		return p.unary()
	}
	left, err := p.binary(level + 1)
	for err == nil && p.atOperator(level) {
		n := &node{op: p.tok}
		p.next()
		var right *node
		if right, err = p.binary(level + 1); err != nil {
			break
		}
		n.args = []*node{left, right}
		left = n
		if level == compareLevel && p.atOperator(level) {
			return nil, fmt.Errorf("column %d: %q after a comparison, want \"and\" or \"or\" between comparisons", p.column(), p.tok)
		}
	}
	return left, err
}

func (p *parser) atOperator(level int) bool {
	n := node{op: p.tok, args: make([]*node, 2)}
	return p.tok != "" && n.level() == level
}

func (p *parser) unary() (*node, error) {
	if p.depth++; p.depth > maxDepth {
		return nil, fmt.Errorf("column %d: formula nested deeper than %d", p.column(), maxDepth)
	}
	defer func() { p.depth-- }()
	if p.tok != "-" {
		return p.value()
	}
	p.next()
	arg, err := p.unary()
	return &node{op: "-", args: []*node{arg}}, err
}

func (p *parser) value() (*node, error) {
	tok := p.tok
	switch {
	case tok == "(":
		p.next()
		n, err := p.binary(orLevel)
		if err != nil {
			return nil, err
		}
		return n, p.take(")", `an operator or ")"`)
	case tok != "" && isDigit(tok[0]):
		v, err := strconv.ParseFloat(tok, 64)
		if err != nil || !within(v) {
			return nil, p.expected(fmt.Sprintf("a number of at most %g", largest))
		}
		p.next()
		return &node{op: number, text: tok, val: v}, nil
	case tok == "and" || tok == "or" || tok == "" || !isLetter(tok[0]):
		return nil, p.expected(`a number, a name or "("`)
	case arity(tok) > 0:
		return p.call(tok)
	}
	p.next()
	return &node{op: name, text: tok}, nil
}

// arity returns how many operands a function takes, at least two for min and
// max; it is 0 for what is not a function.
func arity(function string) int {
	switch function {
	case "min", "max":
		return 2
	case "abs", "sqrt":
		return 1
	}
	return 0
}

func (p *parser) call(function string) (*node, error) {
	p.next()
	if err := p.take("(", fmt.Sprintf(`"(" after %s`, function)); err != nil {
		return nil, err
	}
	n := &node{op: function}
	for {
		arg, err := p.binary(orLevel)
		if err != nil {
			return nil, err
		}
		n.args = append(n.args, arg)
		switch enough := len(n.args) >= arity(function); {
		case !enough:
			err = p.take(",", fmt.Sprintf(`an operator or "," and another value for %s`, function))
		case p.tok == "," && arity(function) > 1:
			p.next()
		default:
			return n, p.take(")", `an operator or ")"`)
		}
		if err != nil {
			return nil, err
		}
	}
}

// take moves past tok, or reports what was expected instead.
func (p *parser) take(tok, what string) error {
	if p.tok != tok {
		return p.expected(what)
	}
	p.next()
	return nil
}

// largest bounds every value in a formula, which keeps infinities out.
const largest = 1e100

// within is false for NaN.
func within(v float64) bool { return math.Abs(v) <= largest }
