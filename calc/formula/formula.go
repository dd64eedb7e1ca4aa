// Package formula reads and works out the formulas of a build's spec sheet
// and limits, such as "500 * pack_max_V" or "rise_K <= 8 and sag_V < 4".
//
// From loosest to tightest binding:
//
//	or
//	and
//	< <= > >= ==      not chained: "a < b < c" is refused
//	+ -
//	* /
//	-                 in front of a value
//	numbers, names, ( ), min(a, b, ...) max(a, b, ...) abs(a) sqrt(a)
//
// A number is digits, with or without a point between digits and an exponent:
// 20, 0.06, 1e6. A name is a letter or underscore, then letters, digits and
// underscores. Operators of one line group from the left.
package formula

import (
	"slices"
	"strings"
)

// Limits of a formula, so that none can exhaust a phone.
const (
	maxLength = 1000 // bytes, as given and as String writes it
	maxDepth  = 100  // parentheses, functions and minus signs within each other
)

// Expr is a parsed formula. It does not change and may be shared. Only Parse
// makes one.
type Expr struct{ root *node }

// A node is a number, a name, or an operator or function with its operands.
type node struct {
	op   string // "number", "name", an operator, or a function's name
	text string // of a number or name
	val  float64
	args []*node
}

const (
	number = "number"
	name   = "name"
)

// Levels of binding; the operands of a function stand alone, like a value.
const (
	orLevel = iota + 1
	andLevel
	compareLevel
	sumLevel
	productLevel
	minusLevel
	valueLevel
)

func (n *node) level() int {
	switch n.op {
	case "or":
		return orLevel
	case "and":
		return andLevel
	case "<", "<=", ">", ">=", "==":
		return compareLevel
	case "+", "-":
		if len(n.args) == 1 {
			return minusLevel
		}
		return sumLevel
	case "*", "/":
		return productLevel
	}
	return valueLevel
}

// Names returns the names the formula uses, sorted, each once.
func (e *Expr) Names() []string {
	var names []string
	var walk func(n *node)
	walk = func(n *node) {
		if n.op == name {
			names = append(names, n.text)
		}
		for _, arg := range n.args {
			walk(arg)
		}
	}
	walk(e.root)
	slices.Sort(names)
	return slices.Compact(names)
}

// String returns the formula with single spaces and no parentheses beyond
// those it needs; Parse of it gives the same formula.
func (e *Expr) String() string { return e.root.write(plain) }

// Substitute returns the working of the formula: each name replaced by what
// show returns for it ("4.2 V"), in parentheses if that begins with a minus,
// and * written as ×.
func (e *Expr) Substitute(show func(name string) string) string {
	return e.root.write(func(n *node) string {
		switch n.op {
		case name:
			text := show(n.text)
			if strings.HasPrefix(text, "-") || strings.HasPrefix(text, "\u2212") {
				return "(" + text + ")"
			}
			return text
		case "*":
			return "×"
		}
		return plain(n)
	})
}

func plain(n *node) string {
	if n.op == name || n.op == number {
		return n.text
	}
	return n.op
}

// write returns the text of n, with word giving that of each single part.
func (n *node) write(word func(*node) string) string {
	var b strings.Builder
	n.writeTo(&b, word)
	return b.String()
}

func (n *node) writeTo(b *strings.Builder, word func(*node) string) {
	level := n.level()
	switch {
	case len(n.args) == 0:
		b.WriteString(word(n))
	case level == valueLevel:
		b.WriteString(word(n) + "(")
		for i, arg := range n.args {
			if i > 0 {
				b.WriteString(", ")
			}
			arg.writeTo(b, word)
		}
		b.WriteString(")")
	case level == minusLevel:
		b.WriteString(word(n))
		n.args[0].writeOperand(b, word, minusLevel)
	default:
		// Operators group from the left; comparisons do not group.
		left := level
		if level == compareLevel {
			left++
		}
		n.args[0].writeOperand(b, word, left)
		b.WriteString(" " + word(n) + " ")
		n.args[1].writeOperand(b, word, level+1)
	}
}

// writeOperand writes n, in parentheses if it binds looser than least.
func (n *node) writeOperand(b *strings.Builder, word func(*node) string, least int) {
	if n.level() >= least {
		n.writeTo(b, word)
		return
	}
	b.WriteString("(")
	n.writeTo(b, word)
	b.WriteString(")")
}
