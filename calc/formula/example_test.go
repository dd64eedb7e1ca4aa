package formula_test

import (
	"fmt"

	"ampwright/calc/formula"
)

func ExampleParse() {
	e, err := formula.Parse("cells_series*cell_V_max")
	if err != nil {
		fmt.Println(err)
		return
	}
	v, err := e.Eval(func(name string) (float64, bool) {
		v, ok := map[string]float64{"cells_series": 20, "cell_V_max": 4.2}[name]
		return v, ok
	})
	fmt.Println(e, "=", v, err)
	fmt.Println(e.Substitute(func(name string) string {
		return map[string]string{"cells_series": "20", "cell_V_max": "4.2 V"}[name]
	}))
	fmt.Println(e.Names())

	_, err = formula.Parse("1 < rise_K < 8")
	fmt.Println(err)
	// Output:
	// cells_series * cell_V_max = 84 <nil>
	// 20 × 4.2 V
	// [cell_V_max cells_series]
	// column 12: "<" after a comparison, want "and" or "or" between comparisons
}
