// Package ahead says what lies ahead of a build: hours, money and the day it is
// done, as distributions; why they moved; and how they were seen week by week.
// It turns what the logbook says into the plain figures that the forecasts of
// calc take. It does no I/O and reads no clock.
package ahead
