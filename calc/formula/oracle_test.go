package formula

import (
	"errors"
	"go/ast"
	"go/constant"
	goparser "go/parser"
	"go/token"
	"go/types"
	"math"
	"strconv"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"
)

// drawFormula draws the text of a formula of any shape, spaced at random, with
// few parentheses, so that all depends on how operators bind.
func drawFormula(t *rapid.T, depth int) string {
	return drawJoined(t, depth, []string{"or"}, func() string {
		return drawJoined(t, depth, []string{"and"}, func() string {
			sum := func() string {
				return drawJoined(t, depth, []string{"+", "-"}, func() string {
					return drawJoined(t, depth, []string{"*", "/"}, func() string { return drawValue(t, depth) })
				})
			}
			if rapid.IntRange(0, 3).Draw(t, "comparison") == 0 {
				return sum() + " " + rapid.SampledFrom([]string{"<", "<=", ">", ">=", "=="}).Draw(t, "op") + " " + sum()
			}
			return sum()
		})
	})
}

func drawJoined(t *rapid.T, depth int, ops []string, operand func() string) string {
	text := operand()
	for range rapid.IntRange(0, min(depth, 2)).Draw(t, "more") {
		text += " " + rapid.SampledFrom(ops).Draw(t, "op") + " " + operand()
	}
	return text
}

func drawValue(t *rapid.T, depth int) string {
	kind := rapid.IntRange(0, 7).Draw(t, "kind")
	if depth == 0 {
		kind %= 2
	}
	switch kind {
	case 0:
		return rapid.SampledFrom([]string{"0.0", "1.0", "2.5", "0.06", "1e3", "1000000", "7"}).Draw(t, "number")
	case 1:
		return rapid.SampledFrom([]string{"a", "b_2", "_c"}).Draw(t, "name")
	case 2, 3:
		return "(" + drawFormula(t, depth-1) + ")"
	case 4, 5:
		return "-" + drawValue(t, depth-1)
	case 6:
		return rapid.SampledFrom([]string{"abs", "sqrt"}).Draw(t, "function") + "(" + drawFormula(t, depth-1) + ")"
	}
	return rapid.SampledFrom([]string{"min", "max"}).Draw(t, "function") + "(" + drawFormula(t, depth-1) + ", " + drawFormula(t, depth-1) + ")"
}

// goText is the same expression in the Go language, which has these operators
// in the same order of binding. Go takes "--" for one token.
var goText = strings.NewReplacer(" and ", " && ", " or ", " || ", "-", "- ")

// The oracle is Go's own parser, and a plain walk over the tree it built.
func TestEvalAgreesWithGo(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		text := drawFormula(t, 3)
		e, err := Parse(text)
		if err != nil {
			require.ErrorContains(t, err, "want at most 1000", text)
			return
		}
		values := map[string]float64{}
		for _, n := range []string{"a", "b_2", "_c"} {
			values[n] = rapid.SampledFrom([]float64{0, 1, -2, 0.5, 84, 1e60}).Draw(t, n)
		}
		got, err := e.Eval(func(name string) (float64, bool) { v, ok := values[name]; return v, ok })
		tree, parseErr := goparser.ParseExpr(goText.Replace(text))
		require.NoError(t, parseErr)
		want, wantErr := walk(tree, values)
		require.Equal(t, wantErr != nil, err != nil, "%s: %v, %v", text, err, wantErr)
		require.Equal(t, want, got, text)
		require.False(t, math.IsNaN(got) || math.IsInf(got, 0), text)
	})
}

var errNoValue = errors.New("no value")

func walk(e ast.Expr, values map[string]float64) (float64, error) {
	v, err := walkOne(e, values)
	if err != nil || math.IsNaN(v) || math.Abs(v) > 1e100 {
		return 0, errNoValue
	}
	return v, nil
}

func walkOne(e ast.Expr, values map[string]float64) (float64, error) {
	switch e := e.(type) {
	case *ast.ParenExpr:
		return walk(e.X, values)
	case *ast.BasicLit:
		return strconv.ParseFloat(e.Value, 64)
	case *ast.Ident:
		return values[e.Name], nil
	case *ast.UnaryExpr:
		v, err := walk(e.X, values)
		return -v, err
	case *ast.CallExpr:
		x, err := walk(e.Args[0], values)
		if err != nil {
			return 0, err
		}
		switch function := e.Fun.(*ast.Ident).Name; function {
		case "abs":
			return math.Abs(x), nil
		case "sqrt":
			return math.Sqrt(x), nil // NaN below 0
		default:
			y, err := walk(e.Args[1], values)
			if function == "min" {
				return math.Min(x, y), err
			}
			return math.Max(x, y), err
		}
	case *ast.BinaryExpr:
		x, err := walk(e.X, values)
		if err != nil || e.Op == token.LAND && x == 0 {
			return 0, err
		}
		if e.Op == token.LOR && x != 0 {
			return 1, nil
		}
		y, err := walk(e.Y, values)
		if err != nil {
			return 0, err
		}
		holds := map[token.Token]bool{
			token.LAND: y != 0, token.LOR: y != 0,
			token.LSS: x < y, token.LEQ: x <= y, token.GTR: x > y, token.GEQ: x >= y, token.EQL: x == y,
		}
		if h, ok := holds[e.Op]; ok {
			if h {
				return 1, nil
			}
			return 0, nil
		}
		// Infinite or NaN where y is 0.
		return map[token.Token]float64{token.ADD: x + y, token.SUB: x - y, token.MUL: x * y, token.QUO: x / y}[e.Op], nil
	}
	return 0, errNoValue
}

// The type checker of Go works constants out exactly. With halves and without
// division a float64 is exact too, so the two must agree to the last bit.
func TestEvalAgreesWithGoConstants(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		halves := func() string {
			return rapid.SampledFrom([]string{"0.5", "1.5", "2.0", "3.5", "-4.5", "(1.5 - 2.0)"}).Draw(t, "half")
		}
		sum := func() string {
			return drawJoined(t, 2, []string{"+", "-"}, func() string {
				return drawJoined(t, 2, []string{"*"}, halves)
			})
		}
		text := sum() + " " + rapid.SampledFrom([]string{"<", "<=", ">", ">=", "==", "+", "*"}).Draw(t, "op") + " " + sum()
		e, err := Parse(text)
		require.NoError(t, err)
		got, err := e.Eval(nil)
		require.NoError(t, err)
		checked, err := types.Eval(token.NewFileSet(), nil, token.NoPos, goText.Replace(text))
		require.NoError(t, err)
		var want float64
		if checked.Value.Kind() != constant.Bool {
			want, _ = constant.Float64Val(checked.Value)
		} else if constant.BoolVal(checked.Value) {
			want = 1
		}
		require.Equal(t, want, got, text)
	})
}

// Parse undoes String, and String has no parentheses to spare: taking any pair
// away changes the tree or breaks it.
func TestStringRoundTrip(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		e, err := Parse(drawFormula(t, 3))
		if err != nil {
			return // too long
		}
		text := e.String()
		again, err := Parse(text)
		require.NoError(t, err, text)
		require.Equal(t, e, again, text)
		for open := range text {
			if text[open] != '(' || open > 0 && isLetter(text[open-1]) {
				continue
			}
			end := closing(text, open)
			less := text[:open] + text[open+1:end] + text[end+1:]
			if bare, err := Parse(less); err == nil {
				require.NotEqual(t, e, bare, "%s and %s", text, less)
			}
		}
	})
}

// closing returns where the parenthesis at open is closed.
func closing(s string, open int) int {
	depth := 0
	for i := open; ; i++ {
		switch s[i] {
		case '(':
			depth++
		case ')':
			if depth--; depth == 0 {
				return i
			}
		}
	}
}
