package formula

import (
	"fmt"
	"math"
)

// Eval works the formula out. A comparison is 1 if it holds and 0 if not;
// "and" and "or" take anything but 0 as holding, give 1 or 0, and look at
// their right side only if the left does not settle it. lookup gives the value
// of a name, and false if there is none.
//
// Errors: a name without a value, a division by zero, a square root of less
// than 0, and any value that is not a number within 1e±100; each names the
// part of the formula at fault. No NaN or infinity is returned.
func (e *Expr) Eval(lookup func(name string) (float64, bool)) (float64, error) {
	return e.root.eval(lookup)
}

func (n *node) eval(lookup func(string) (float64, bool)) (float64, error) {
	switch n.op {
	case number:
		return n.val, nil
	case name:
		v, ok := lookup(n.text)
		if !ok {
			return 0, fmt.Errorf("no value for %q", n.text)
		}
		if !within(v) {
			return 0, fmt.Errorf("value of %q is %g, want a number of at most %g", n.text, v, largest)
		}
		return v, nil
	}
	args := make([]float64, len(n.args))
	for i, arg := range n.args {
		v, err := arg.eval(lookup)
		if err != nil {
			return 0, err
		}
		args[i] = v
		if n.op == "and" && v == 0 || n.op == "or" && v != 0 {
			break
		}
	}
	v, err := n.apply(args)
	if err == nil && !within(v) {
		err = fmt.Errorf("%q is out of range: %.3g, want at most %g", n.write(plain), v, largest)
	}
	if err != nil {
		return 0, err
	}
	return v, nil
}

// apply works out one operator or function; after an "and" or "or" that its
// left side settled, the right side is 0.
func (n *node) apply(args []float64) (float64, error) {
	a := args[0]
	if len(args) == 1 {
		switch {
		case n.op == "-":
			return -a, nil
		case n.op == "abs":
			return math.Abs(a), nil
		case a < 0:
			return 0, fmt.Errorf("%q: square root of %g, want 0 or more", n.write(plain), a)
		}
		return math.Sqrt(a), nil
	}
	b := args[1]
	switch n.op {
	case "or":
		return truth(a != 0 || b != 0), nil
	case "and":
		return truth(a != 0 && b != 0), nil
	case "<":
		return truth(a < b), nil
	case "<=":
		return truth(a <= b), nil
	case ">":
		return truth(a > b), nil
	case ">=":
		return truth(a >= b), nil
	case "==":
		return truth(a == b), nil
	case "+":
		return a + b, nil
	case "-":
		return a - b, nil
	case "*":
		return a * b, nil
	case "/":
		if b == 0 {
			return 0, fmt.Errorf("division by zero: %q is 0", n.args[1].write(plain))
		}
		return a / b, nil
	}
	for _, v := range args[1:] {
		if n.op == "min" {
			a = min(a, v)
		} else {
			a = max(a, v)
		}
	}
	return a, nil
}

func truth(b bool) float64 {
	if b {
		return 1
	}
	return 0
}
