package aheadjson_test

import (
	"bytes"
	"encoding/json"
	"testing"
	"time"

	"ampwright/model"
	"ampwright/model/ahead"
	"ampwright/model/ahead/aheadjson"
	"ampwright/model/demo"
	"ampwright/model/plan"

	"github.com/stretchr/testify/require"
)

// The file is what encoding/json makes of the same forecast, amid the build and
// where nothing can be told yet.
func TestFile(t *testing.T) {
	amid, err := demo.AtEnd(plan.Builtin)
	require.NoError(t, err)
	none := &model.Build{Title: "<none> & \u2028", Currency: "EUR", Now: time.Date(2026, 8, 1, 9, 30, 0, 5, time.FixedZone("", 7200))}
	for _, b := range []*model.Build{amid, none} {
		o := ahead.Look(b, nil)
		var want bytes.Buffer
		enc := json.NewEncoder(&want)
		enc.SetEscapeHTML(false)
		enc.SetIndent("", "  ")
		require.NoError(t, enc.Encode(struct {
			Schema string    `json:"schema"`
			At     time.Time `json:"at"`
			Build  any       `json:"build"`
			aheadjson.Forecast
		}{"ampwright/forecast/1", b.Now.Truncate(time.Second), struct {
			ID       any    `json:"id"`
			Title    string `json:"title"`
			Currency string `json:"currency"`
		}{b.ID, b.Title, b.Currency}, aheadjson.New(o)}))
		require.Equal(t, want.String(), string(aheadjson.File(o)))
	}
	require.NotNil(t, aheadjson.New(ahead.Look(amid, nil)).Hours)
}
