package main

import (
	"errors"
	"fmt"
	"io"
	"strings"

	"telltale/aerosol"
	"telltale/medium"
	"telltale/quantity"
	"telltale/reference"
	"telltale/report"
	"telltale/uncertainty"
)

type expectCmd struct {
	Class           string   `required:"" help:"Protection class, such as N95, FFP2, KF94." placeholder:"C"`
	VentilationLMin *float64 `name:"ventilation-l-min" help:"Minute ventilation of the wearer, L/min; unknown widens the band." placeholder:"V"`
	Counter         string   `enum:"condensation,optical" default:"condensation" help:"Principle of the counter: ${enum}."`
	SmallestUM      *float64 `name:"smallest-um" help:"Size of which the counter sees half, um." placeholder:"D"`
	Room            string   `help:"Air of the room: aged, mixed or fresh; unknown widens the band." placeholder:"NAME"`
	Sizes           string   `help:"Measured size distribution of the room (CSV: diameter_um,dn_dlog10d_per_cm3)." placeholder:"FILE"`
	Above20nm       *float64 `name:"above-20nm-per-cm3" help:"Size cue: particles above 0.02 um in the room, with --above-300nm-per-cm3." placeholder:"C"`
	Above300nm      *float64 `name:"above-300nm-per-cm3" help:"Size cue: particles above 0.3 um in the room." placeholder:"C"`
	Breath          string   `help:"Recorded breathing: a trace with a flow_l_min column; replaces the ventilation." placeholder:"TRACE"`
	WholeBreath     bool     `help:"The inside sample was taken over whole breaths: lungs keep particles back."`
	JSON            bool     `help:"Print JSON alone."`
}

// Run says what a sealed filter that just meets the class would show.
func (c expectCmd) Run(s streams) error {
	class, err := reference.ClassByName(c.Class)
	if err != nil {
		return usage{err}
	}
	conditions, err := c.conditions()
	if err != nil {
		return err
	}
	band, err := medium.Expect(class, conditions)
	if err != nil {
		return usage{err}
	}
	if c.JSON {
		return writeJSON(s.out, band)
	}
	return printBand(s.out, band)
}

func (c expectCmd) conditions() (medium.Conditions, error) {
	out := medium.Conditions{Counter: medium.CounterKind(c.Counter)}
	if c.VentilationLMin != nil {
		if err := positive("ventilation-l-min", *c.VentilationLMin); err != nil {
			return out, err
		}
		out.Ventilation = *c.VentilationLMin
	}
	if c.SmallestUM != nil {
		if err := positive("smallest-um", *c.SmallestUM); err != nil {
			return out, err
		}
		out.Smallest = quantity.Diameter(*c.SmallestUM)
	}
	if err := c.rooms(&out); err != nil {
		return out, err
	}
	if c.Breath != "" {
		t, err := openTrace(c.Breath, "")
		if err != nil {
			return out, err
		}
		b, err := medium.Recorded(t.FlowLMin)
		if err != nil {
			return out, err
		}
		out.Breathing = &b
	}
	if c.WholeBreath {
		out.Sampling = medium.WholeBreath
	}
	return out, nil
}

// rooms settles what is known of the room's air: by name, by a measured
// distribution, or by the readings of two counters.
func (c expectCmd) rooms(out *medium.Conditions) error {
	given := 0
	if c.Room != "" {
		given++
		room, err := aerosol.FindRoom(c.Room)
		if err != nil {
			return usage{err}
		}
		out.Rooms = []aerosol.Room{room}
	}
	if c.Sizes != "" {
		given++
		room, err := readSizes(c.Sizes)
		if err != nil {
			return err
		}
		out.Rooms = []aerosol.Room{room}
	}
	if (c.Above20nm == nil) != (c.Above300nm == nil) {
		return usage{errors.New("a size cue needs both --above-20nm-per-cm3 and --above-300nm-per-cm3")}
	}
	if c.Above20nm != nil {
		given++
		rooms, err := aerosol.Cue{Condensation: quantity.Concentration(*c.Above20nm), Optical: quantity.Concentration(*c.Above300nm)}.RoomsFor()
		if err != nil {
			return usage{err}
		}
		out.Rooms = rooms
	}
	if given > 1 {
		return usage{errors.New("give one of --room, --sizes and the size cue")}
	}
	return nil
}

// printBand shows the band, its thresholds and what moves them.
func printBand(w io.Writer, b medium.Band) error {
	n := uncertainty.Number
	var out strings.Builder
	fmt.Fprintf(&out, "%s (%s)\n\n", b.Class, b.Standard)
	fmt.Fprintf(&out, "  A filter that only just meets the class, perfectly sealed, would show here\n")
	fmt.Fprintf(&out, "  a fit factor of about %s (%s to %s).\n\n", n(b.FitFactor.Central), n(b.FitFactor.Low), n(b.FitFactor.High))
	fmt.Fprintf(&out, "  Below %s it is hard to reconcile with the class, above %s it is better than the class's minimum,\n  under every assumption tried. In between it does not contradict the class.\n\n", n(b.HardToReconcileBelow), n(b.BetterThanClassMinimumAbove))
	fmt.Fprintf(&out, "  The class lets %s %% through at %s L/min of its own test air: another flow, other sizes, another way of counting.\n\n", n(100*b.LimitPenetration), n(b.TestFlow))
	rows := [][]string{{"what moves it", "from", "to", "times"}}
	for _, a := range b.Assumptions {
		rows = append(rows, []string{a.Name, n(a.Low), n(a.High), n(a.Factor)})
	}
	if err := report.Columns(&out, rows, "lrrr"); err != nil {
		return err
	}
	out.WriteString("\n  Taken as\n")
	for _, a := range b.Assumptions {
		fmt.Fprintf(&out, "  - %s: %s (%s)\n", a.Name, a.Values, a.Source.State)
	}
	if b.Narrows != nil {
		fmt.Fprintf(&out, "\n  What would narrow it most: %s (%s); the band would shrink from %s-fold to %s-fold.\n", b.Narrows.Input, b.Narrows.Settles, n(b.Narrows.Width), n(b.Narrows.WidthTo))
	}
	for _, c := range b.Caveats {
		fmt.Fprintf(&out, "  - %s\n", c)
	}
	_, err := io.WriteString(w, out.String())
	return err
}
