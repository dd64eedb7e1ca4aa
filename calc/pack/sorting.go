package pack

import "ampwright/calc/desk"

func sortingCalc() *desk.Calc {
	return &desk.Calc{
		Name:  "cell-sorting",
		Title: "Limits for sorting cells by resistance and capacity",
		Group: groupPack,
		Inputs: []desk.Input{
			desk.Num("cell_ir_ref_mohm", "Internal resistance to sort by: median of the batch, or the data sheet's", "mohm", "1.2", 0.001, 10000),
			desk.Num("cell_ir_factor", "Reject above this multiple of it", "ratio", "1.5", 1, 10),
			desk.Num("cell_Ah_rated", "Rated capacity when new", "Ah", "26", 0.01, 2000),
			desk.Num("cell_keep_fraction", "Keep a cell if it still holds this share", "ratio", "0.8", 0.1, 1),
		},
		Outputs: []desk.Output{
			desk.Out("cell_ir_max_mohm", "Reject a cell above this resistance", "mohm").On("cell_ir_ref_mohm", "cell_ir_factor"),
			desk.Out("cell_Ah_keep", "Keep a cell from this capacity up", "Ah").On("cell_Ah_rated", "cell_keep_fraction"),
		},
		Formula:  []string{"cell_ir_max_mohm = cell_ir_factor * cell_ir_ref_mohm", "cell_Ah_keep = cell_keep_fraction * cell_Ah_rated"},
		Source:   "both factors are the builder's choice: common practice, no published source",
		Valid:    "resistance of all cells by one meter, at one temperature and about one state of charge",
		Cautions: []string{"a swollen, leaking or over-discharged cell is out, whatever it reads"},
		Do: func(s *desk.Sheet) {
			s.Out("cell_ir_max_mohm", s.Num("cell_ir_factor")*s.Num("cell_ir_ref_mohm"), "cell_ir_factor * cell_ir_ref_mohm")
			s.Out("cell_Ah_keep", s.Num("cell_keep_fraction")*s.Num("cell_Ah_rated"), "cell_keep_fraction * cell_Ah_rated")
		},
	}
}
