package main

import (
	"ampwright/calc/forecast/cases"

	"github.com/spf13/cobra"
)

func (p *program) forecast() *cobra.Command {
	file, since, weeks := "", "", false
	c := &cobra.Command{
		Use: "forecast", Short: "hours, money and the day, as chances; or the hours left in cases from a file",
		Long: `Shows what is left of the build as chances: hours, net spend at the end and the day
all is done, each as twenty dots of one in twenty; what holds the build up, in
which order to work, and which parts are likely to come too late. With --since it
says why the forecast moved, with --weeks how it was seen week by week and what
came of it.

With --cases it forecasts the hours left in cases from a file, one JSON object a
line in, one out in the same order. A case has a name and tasks:

  {"case":"c1","tasks":[{"id":"t1","estimate_hours":2.5,"actual_hours":3,"done":true},
    {"id":"t2","estimate_hours":{"low":1,"likely":2,"high":4},"actual_hours":0,"done":false}]}

and its answer the hours still to come, with the probability that they are enough:

  {"case":"c1","remaining_hours":{"p10":1,"p25":1.5,"p50":2,"p75":3,"p90":4,"mean":2.2}}

(here on one line for each; the figures are made up). An estimate of 0, null or
none at all is no estimate. Every case stands on its own. A line that cannot be
used is named on the standard error, and the rest is answered all the same.`,
		Example: "  ampwright forecast\n  ampwright forecast --since 2026-11-13\n  ampwright forecast --weeks --json\n  ampwright forecast --cases cases.jsonl > answers.jsonl\n  zcat cases.jsonl.gz | ampwright forecast --cases -",
		Args:    cobra.ArbitraryArgs,
		RunE: func(c *cobra.Command, args []string) error {
			switch {
			case len(args) > 0:
				return wrong("for cases from a file: ampwright forecast --cases "+args[0], "%q is one word too many", args[0])
			case file == "":
				return p.ahead(since, weeks)
			case since != "" || weeks:
				return wrong("leave them out", "--since and --weeks are about the build, not about cases from a file")
			}
			return p.answerLines(c.Context(), file, cases.Answer)
		},
	}
	c.Flags().StringVar(&file, "cases", "", "the `file` with the cases, - for the standard input")
	c.Flags().StringVar(&since, "since", "", "why it moved since this `time`")
	c.Flags().BoolVar(&weeks, "weeks", false, "how it was seen week by week")
	return c
}
