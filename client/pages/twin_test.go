package pages_test

import (
	"net/url"
	"testing"

	"github.com/stretchr/testify/require"
)

// A number that can be read two ways is asked back with a button for each
// reading. Pressing one writes it; the Enter key presses the form's own.
func TestTwoReadings(t *testing.T) {
	g := heron(t)
	for _, tt := range []struct{ wish, field, small, large string }{
		{"read", "check=front-load-found&sure=yes", "3.412 kg", "3412 kg"},
		{"spec", "name=mass_rider_kg", "3.412 kg", "3412 kg"},
	} {
		fixed, err := url.ParseQuery(tt.field)
		require.NoError(t, err)
		send := func(extra url.Values) url.Values {
			form := url.Values{"value": {"3,412"}, "back": {g.at + "/spec"}}
			for _, more := range []url.Values{fixed, extra} {
				for k, v := range more {
					form[k] = v
				}
			}
			return form
		}
		resp := g.post(g.at+"/write/"+tt.wish, send(nil))
		require.Equal(t, 422, resp.Status)
		form := find(parse(t, resp.Body), "form.ask")[0]
		buttons := find(form, "button")
		require.Len(t, buttons, 3)
		name, _ := attr(buttons[0], "name")
		require.Empty(t, name, "the first button is what the Enter key presses")
		for i, want := range []string{tt.small, tt.large} {
			name, _ := attr(buttons[i+1], "name")
			value, _ := attr(buttons[i+1], "value")
			require.Equal(t, "value.meant", name)
			require.Equal(t, want, value)
		}
		before := g.entries()
		resp = g.post(g.at+"/write/"+tt.wish, send(url.Values{"value.meant": {tt.small}}))
		require.Equal(t, 303, resp.Status, "%s", resp.Body)
		require.Equal(t, before+1, g.entries())
	}
	b := g.build()
	require.Equal(t, []float64{3.412}, b.Check("front-load-found").Current.Points)
	require.Equal(t, 3.412, b.Spec.Get("mass_rider_kg").Value)

	// What can be read one way, or no way, has no such button.
	for _, value := range []string{"1.2.3", "3,41 N"} {
		resp := g.post(g.at+"/write/read", url.Values{"check": {"front-load-found"}, "value": {value}})
		require.Equal(t, 422, resp.Status)
		require.Len(t, find(find(parse(t, resp.Body), "form.ask")[0], "button"), 1)
	}
}

// The same on the calculations, for the box it is about.
func TestTwoReadingsOnCalc(t *testing.T) {
	g := heron(t)
	at := g.at + "/calc/speed-torque-trade?work=1&cols=2&motor_kv=9.4&motor_kv.2=1%2C200"
	resp := g.get(at)
	buttons := find(parse(t, resp.Body), "button[name=motor_kv.2.meant]")
	require.Len(t, buttons, 2)
	value, _ := attr(buttons[0], "value")
	require.Equal(t, "1.200 rpm/V", value)
	value, _ = attr(buttons[1], "value")
	require.Equal(t, "1200 rpm/V", value)
	doc := g.page(at + "&motor_kv.2.meant=1200+rpm%2FV")
	value, _ = attr(find(doc, "input[name=motor_kv.2]")[0], "value")
	require.Equal(t, "1200 rpm/V", value)
	require.NotContains(t, text(doc), "can mean")
	for _, a := range find(doc, "a") {
		href, _ := attr(a, "href")
		require.NotContains(t, href, "meant")
	}

	// With a decimal comma the small reading is written so that it is not asked
	// back again.
	require.Equal(t, 303, g.post(g.at+"/write/settings", url.Values{"mark": {"comma"}}).Status)
	resp = g.get(g.at + "/calc/speed-torque-trade?work=1&motor_kv=1.200")
	buttons = find(parse(t, resp.Body), "button[name=motor_kv.meant]")
	require.Len(t, buttons, 2)
	value, _ = attr(buttons[0], "value")
	require.Equal(t, "1,2000 rpm/V", value)
}
