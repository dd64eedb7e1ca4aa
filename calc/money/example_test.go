package money_test

import (
	"fmt"

	"ampwright/calc/money"
	"ampwright/calc/unit"
)

func ExampleParse() {
	paid, _ := money.Parse("€1.411,30", "EUR", unit.Comma)
	fmt.Println(int64(paid), paid.Format("EUR", unit.Point))
	_, err := money.Parse("$12", "EUR", unit.Point)
	fmt.Println(err)
	// Output:
	// 141130 1,411.30
	// "$12" has "$" where an amount in EUR is wanted
}
