package catalogue

import (
	"bufio"
	"math"
	"os"
	"strings"
	"testing"

	"ampwright/calc/desk/desktest"
	"ampwright/calc/unit"

	"github.com/stretchr/testify/require"
)

// A row is one published or worked value. Source and status stand beside it:
// R read in the source named, M from memory, C common practice without a
// published source, D worked from the formula given.
type row struct {
	id     string
	calc   string
	in     string  // "name=value; name=value", as it is typed
	out    string  // the output that is compared
	want   float64 // in the output's unit
	tol    float64 // absolute
	source string
	text   string // the wanted answer, where it is in words; "error: ..." where it must be refused
}

// excluded are the values that no calculation answers, each with its reason.
var excluded = map[string]string{}

// rows are all sections' rows.
func rows() []row {
	var all []row
	for _, part := range [][]row{
		electricRows(),
		mechanicsRows(),
		packRows(),
		rideRows(),
		figuresRows(),
	} {
		all = append(all, part...)
	}
	return all
}

func TestPublished(t *testing.T) {
	for _, r := range rows() {
		t.Run(r.id+" "+r.calc, func(t *testing.T) {
			require.NotEmpty(t, r.source, "a value without a source is worth nothing")
			c, err := Find(r.calc)
			require.NoError(t, err)
			res, err := c.Run(desktest.Typed(r.in), unit.Style{})
			if want, ok := strings.CutPrefix(r.text, "error: "); ok {
				require.ErrorContains(t, err, want)
				return
			}
			require.NoError(t, err)
			got, ok := res.Get(r.out)
			require.True(t, ok, "no output %s", r.out)
			if r.text != "" {
				require.Equal(t, r.text, got.Text)
				return
			}
			if math.Abs(got.Number-r.want) > r.tol {
				t.Errorf("%s: %s = %v %s, published %v ± %v (%s)", r.id, r.out, got.Number, got.Unit, r.want, r.tol, r.source)
			}
		})
	}
}

// Every value of the list is tested or excluded with a reason, and none is both.
func TestNoneForgotten(t *testing.T) {
	f, err := os.Open("../../testdata/published/ids.txt")
	require.NoError(t, err)
	defer f.Close()
	tested := map[string]bool{}
	for _, r := range rows() {
		tested[r.id] = true
	}
	n := 0
	for in := bufio.NewScanner(f); in.Scan(); {
		id := strings.TrimSpace(in.Text())
		if id == "" {
			continue
		}
		n++
		if tested[id] == (excluded[id] != "") {
			t.Errorf("%s: tested %v, excluded for %q", id, tested[id], excluded[id])
		}
	}
	require.Greater(t, n, 280)
}
