package electric

import (
	"fmt"
	"strings"

	"ampwright/calc/desk"
)

const notStated = "not stated"

var (
	ipSolids = [...]string{"no protection", "objects of 50 mm and more", "objects of 12.5 mm and more", "objects of 2.5 mm and more",
		"objects of 1.0 mm and more", "dust-protected", "dust-tight"}
	ipAccess = [...]string{"no protection", "back of the hand (50 mm sphere)", "finger-proof (12 mm by 80 mm test finger)", "tool (2.5 mm rod)",
		"wire (1.0 mm)", "wire (1.0 mm)", "wire (1.0 mm)"}
	ipWater = [...]string{"no protection", "dripping", "dripping at 15 degrees", "spray up to 60 degrees", "splash", "jet", "strong jet",
		"short immersion (1 m, 30 min)", "lasting immersion, as agreed with the maker", "hot high-pressure jet"}
	ipLetters = "ABCD"
)

// An IPCode is what a code of IEC 60529 says, in words; "not stated" where it
// has an X.
type IPCode struct {
	Solids, Access, Water string
	Letter                bool // access is that of a letter
	NoJets                bool // the water numeral 7 or 8 does not show 5 or 6
	NoDip                 bool // the water numeral 9 does not show 7 or 8
}

const wantIP = `want IP, two of 0 to 6 and 0 to 9 or X, and at most one letter A to D, as "IP54", "IPXXB"; codes with two ends ("IP66/IP68") one at a time`

// ReadIP reads a code of IEC 60529: "IP54", "IPXXB", "ip 67". The letters H, M,
// S and W may follow.
func ReadIP(text string) (IPCode, error) {
	bad := fmt.Errorf("IP code %q: %s", text, wantIP)
	t := strings.ToUpper(strings.ReplaceAll(strings.TrimSpace(text), " ", ""))
	t, ok := strings.CutPrefix(t, "IP")
	if !ok || len(t) < 2 {
		return IPCode{}, bad
	}
	code := IPCode{Solids: notStated, Access: notStated, Water: notStated}
	first := -1
	switch c := t[0]; {
	case c >= '0' && c <= '6':
		first = int(c - '0')
		code.Solids, code.Access = ipSolids[first], ipAccess[first]
	case c != 'X':
		return IPCode{}, bad
	}
	switch c := t[1]; {
	case c >= '0' && c <= '9':
		code.Water = ipWater[c-'0']
		code.NoJets = c == '7' || c == '8'
		code.NoDip = c == '9'
	case c != 'X':
		return IPCode{}, bad
	}
	rest := t[2:]
	if rest != "" && strings.Contains(ipLetters, rest[:1]) {
		letter := 1 + strings.Index(ipLetters, rest[:1])
		if first < letter { // a letter is given only where it says more than the numeral
			code.Access, code.Letter = ipAccess[letter], true
		}
		rest = rest[1:]
	}
	if rest != "" && (len(rest) > 1 || !strings.Contains("HMSW", rest)) {
		return IPCode{}, bad
	}
	return code, nil
}

func ipCode() *desk.Calc {
	return &desk.Calc{
		Name: "ip-code", Title: "What an IP code says", Group: groupCommission,
		Inputs: []desk.Input{{Name: "code", Title: `Code, as "IP54", "IPXXB"`, Text: true}},
		Outputs: []desk.Output{
			desk.Out("access", "Access of people to live parts", ""), desk.Out("solids", "Objects and dust", ""), desk.Out("water", "Water", ""),
			desk.Out("meaning", "In short", ""),
		},
		Formula: []string{
			"first numeral: objects and dust; second: water; letter: access; X: not stated",
			"up to 6 a water numeral includes the lower ones; 7 and 8 do not include 5 and 6",
		},
		Source:   "IEC 60529 (read in reproduction; immersion of 1 m for 30 min, that 7 and 8 leave jets out, and numeral 9 from memory)",
		Valid:    "the code of an enclosure as tested, closed and new; 6K and 9K of road vehicles (ISO 20653) are other codes",
		Cautions: []string{"UN R100 wants IPXXD inside passenger or luggage space and IPXXB elsewhere, and covers that open only with a tool"},
		Do: func(s *desk.Sheet) {
			code, err := ReadIP(s.Text("code"))
			if err != nil {
				s.Fail("code", wantIP)
				return
			}
			s.Say("access", code.Access)
			s.Say("solids", code.Solids)
			s.Say("water", code.Water)
			s.Say("meaning", code.meaning())
		},
	}
}

func (c IPCode) meaning() string {
	var all []string
	if c.Letter {
		all = append(all, c.Access)
	}
	if c.Solids == notStated {
		all = append(all, "dust not stated")
	} else {
		all = append(all, c.Solids)
	}
	switch {
	case c.Water == notStated:
		all = append(all, "water not stated")
	case c.Water == ipWater[0]:
		all = append(all, "no protection from water")
	case c.NoJets:
		all = append(all, c.Water, "jets not shown")
	case c.NoDip:
		all = append(all, c.Water, "immersion not shown")
	default:
		all = append(all, c.Water)
	}
	return strings.Join(all, "; ")
}
