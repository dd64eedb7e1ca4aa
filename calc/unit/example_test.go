package unit_test

import (
	"errors"
	"fmt"

	"ampwright/calc/unit"
)

func ExampleParse() {
	for _, typed := range []string{"8,2M", "21 kΩ", "42000"} {
		d, err := unit.Parse(typed, "ohm", unit.Point)
		fmt.Println(d, err)
	}
	torque, _ := unit.Parse("45 lbf·ft", "Nm", unit.Point)
	fmt.Println(torque)
	_, err := unit.Parse("45 V", "Nm", unit.Point)
	fmt.Println(err)
	// Output:
	// 8200000 <nil>
	// 21000 <nil>
	// 42000 <nil>
	// 61.0118077
	// "45 V" where a torque in N·m is wanted
}

func ExampleAmbiguousError() {
	_, err := unit.Parse("3,412 V", "V", unit.Comma)
	fmt.Println(err)
	var ask *unit.AmbiguousError
	if errors.As(err, &ask) {
		fmt.Println(ask.Small, "or", ask.Large)
	}
	// Output:
	// "3,412 V" can mean 3,4120 V or 3412 V: type one of these
	// 3.412 or 3412
}

func ExampleFormat() {
	fmt.Println(unit.Format(42000, "ohm", unit.Style{}))
	fmt.Println(unit.Format(84, "V", unit.Style{Mark: unit.Comma}))
	fmt.Println(unit.Format(61, "Nm", unit.Style{US: true}))
	// Output:
	// 42.0 kohm
	// 84,0 V
	// 45.0 lbf·ft
}

func ExampleFormatDecimal() {
	d, _ := unit.ParseNumber("41990", unit.Point)
	fmt.Println(unit.FormatDecimal(d, "ohm", unit.Style{}), "is below", unit.Format(42000, "ohm", unit.Style{}))
	// Output: 41.99 kohm is below 42.0 kohm
}

func ExampleParseHours() {
	for _, typed := range []string{"2h30", "2,5", "150 min", "23:30-00:15"} {
		minutes, _ := unit.ParseHours(typed, unit.Comma)
		fmt.Println(minutes)
	}
	// Output:
	// 150
	// 150
	// 150
	// 45
}

func ExampleConvert() {
	mph, err := unit.Convert(80.4672, "km/h", "mph")
	fmt.Printf("%.4f %v\n", mph, err)
	// Output: 50.0000 <nil>
}
