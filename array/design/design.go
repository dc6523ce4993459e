// Package design reads and validates the design file: one display, described in
// the words and units of the trade, resolved to SI values that the rest of the
// project computes with.
package design

import (
	"lodegrid/array/drive"
	"lodegrid/array/heat"
	"lodegrid/array/supply"
	"lodegrid/field/coil"
)

// Design is one display, validated, all values in SI units (temperatures in
// kelvin). Zero lengths that mean "work it out" have been replaced by the value
// worked out.
type Design struct {
	Name   string
	Folder string // of the file it was read from, for paths inside it; empty for none
	Board  Board
	Coil   Coil
	Iron   Iron
	Magnet Magnet
	Grid   Grid
	Drive  Drive
	Supply Supply
	Tank   Tank
	Fluid  Fluid
	Heat   Heat
	Limits Limits
	Order  Order
	Scene  Scene
	Bench  Bench
	Stated []Doubt // the doubts that the file states; see Doubts
	Base   string  // path of the file that this one goes by; empty for none

	own []string // keys that could follow others and were set instead, see With
}

// Board is the bare board: stack-up and the board house's rules.
type Board struct {
	Layers      int     // copper layers
	Thickness   float64 // m, finished, copper included
	CopperOuter float64 // m, thickness of the two outer copper layers
	CopperInner float64 // m, thickness of the inner copper layers
	OuterMade   float64 // copper as made over CopperOuter
	InnerMade   float64 // … over CopperInner
	Laminate    string  // name of a laminate in field/material
	// HoleClearance is the least distance from a bare hole to copper, m.
	HoleClearance float64
	Rules         coil.Rules
	Planes        string // copper outside the coils, as board.planes has it; see PlaneShare
}

// Coil is the flat coil of one pixel; see coil.Spec for the meaning of each.
type Coil struct {
	Shape          coil.Shape
	Outer          float64 // m, outside size, metal edge to metal edge
	Inner          float64 // m, inside size; 0 when Turns decide
	CornerRadius   float64 // m, outer corner radius of a rounded square
	Turns          float64 // per layer; 0 when Inner decides
	Track, Gap     float64 // m, as drawn
	Etch           float64 // m, by which tracks come out narrower
	Layers         int     // layers the coil uses, from the front
	ParallelGroups int     // equal groups of layers wired in parallel; 1 = all in series
	ViaDrill       float64 // m
	ViaPlating     float64 // m, copper thickness in the barrel
}

// IronModel names how the steel behind the board is computed.
type IronModel string

// The iron models. Auto lets the shape decide and the report says which ran.
const (
	IronNone  IronModel = "none"
	IronAuto  IronModel = "auto"
	IronImage IronModel = "image" // mirror image times a factor
	IronSlab  IronModel = "slab"  // wide linear sheet, exact
	IronFEM   IronModel = "fem"   // axisymmetric finite elements
)

// Iron is the steel behind the board.
type Iron struct {
	Model IronModel
	Gap   float64 // m, board's back face to the steel's front face
	// GapConductivity is what fills the gap, W/(m·K).
	GapConductivity float64
	Thickness       float64 // m
	Radius          float64 // m, of a disc per pixel; 0 = one sheet behind the whole grid
	CoreRadius      float64 // m, of a core through the coil's middle; 0 = none
	Steel           string  // name of a steel in field/material
	MuR             float64 // relative permeability of the linear models
	Factor          float64 // image factor; (µr−1)/(µr+1) unless measured on the bench
}

// MagnetKind names how bias magnets are laid out.
type MagnetKind string

// The bias magnet layouts.
const (
	MagnetNone     MagnetKind = "none"
	MagnetPerPixel MagnetKind = "pixel" // one cylinder on each pixel's axis
	MagnetSheet    MagnetKind = "sheet" // one cuboid behind the whole grid
)

// Magnet is the bias magnet, magnetised along z.
type Magnet struct {
	Kind            MagnetKind
	Grade           string  // name of a grade in field/material
	Diameter        float64 // m, of the cylinder per pixel
	Width, Height   float64 // m, of the sheet; 0 = the grid's own
	Length          float64 // m, along z
	Remanence       float64 // T at 20 °C, positive = north towards the viewer
	TempCoefficient float64 // 1/K, reversible change of remanence
	Depth           float64 // m, board's back face to the magnet's front face
	MaxTemp         float64 // K, the grade's limit
}

// Grid is the lattice of pixels.
type Grid struct {
	Cols, Rows int
	Pitch      float64 // m
}

// How the coils are driven, as package drive computes it.
type (
	DriveMode = drive.Mode
	Bridge    = drive.Bridge
)

// The drive modes and topologies.
const (
	DriveDirect   = drive.Direct
	DriveStagger  = drive.Stagger
	DriveScan     = drive.Scan
	DriveKick     = drive.Kick
	BridgeLowSide = drive.LowSide
	BridgeFull    = drive.FullBridge
)

// Place names where the drivers sit.
type Place string

// The places. Any leaves open how the coils are connected.
const (
	PlaceEdge  Place = "edge"         // of the board, outside the grid
	PlaceBack  Place = "back"         // of the board, behind their pixels
	PlaceBoard Place = "second-board" // behind this one, with pins to each coil
	PlaceAny   Place = "any"
)

// Drive is the switching stage of a pixel.
type Drive struct {
	Mode         DriveMode
	Bridge       Bridge
	Place        Place   // of the drivers
	Frequency    float64 // Hz, PWM
	OnResistance float64 // Ω, all switches in the pixel's path
	DiodeDrop    float64 // V, freewheel
	ScanDiode    float64 // V, of the diode at each coil that parts shared lines, mode scan
	MaxDuty      float64 // 0…1, duty at level ±1
	KickVoltage  float64 // V, rail of the kick (mode kick) or of the scan (mode scan); 0 = the supply's
	KickTime     float64 // s
	HoldDuty     float64 // 0…1, duty after the kick
	ScanTime     float64 // s, one pass over all rows, mode scan
	ScanRows     int     // on at once, mode scan
	InSeries     int     // coils on one output, neighbours in a row

	MostLit      int     // most pixels that the firmware lights at once
	FeederWidth  float64 // m, of the feeder along each row and of the one along each column
	FeederCopper float64 // m, thickness
	FeederEnds   int     // 1 or 2, ends at which feeders meet a bus
	BusWidth     float64 // m, of the bus that joins the feeders; 0 = none to speak of

	Channels         int     // pixels that one driver chip switches
	DriverCurrent    float64 // A, most that a channel bears at any instant; 0 = no driver chosen
	DriverFrequency  float64 // Hz, highest PWM frequency of the driver; 0 = no driver chosen
	EdgeTime         float64 // s, of one edge
	EdgeLoss         float64 // J, in one edge at full current
	DriverResistance float64 // K/W, from a driver chip to the air; 0 = not known
}

// Supply is the supply on hand.
type Supply struct {
	Voltage          float64 // V, at the board
	Power            float64 // W, name-plate rating; 0 = none chosen yet
	Derating         float64 // 0…1, share of the rating used continuously
	Efficiency       float64 // 0…1
	Droop            float64 // V, allowed on the rail when the load steps
	FeederLen        float64 // m, one way, supply to board
	Kind             supply.Sort
	FullTo           float64 // K, air up to which it gives its rating
	Tolerance        float64 // 0…1, of its voltage, either way
	SeriesResistance float64 // Ω, of the bulk capacitors together
	ContactCurrent   float64 // A, that one contact of the board's connector bears; 0 = none chosen
	Response         float64 // s, until it follows a step
}

// Fluid is the ferrofluid and the tank in front of the board.
type Fluid struct {
	Kind              string  // name of a fluid in field/material
	Height            float64 // m, board's front face to the fluid plane
	TankGap           float64 // m, clear depth between the panes
	Susceptibility    float64 // initial, SI
	Saturation        float64 // A/m
	DensityDifference float64 // kg/m³, fluid minus carrier
	Density           float64 // kg/m³, of the fluid
	Temperature       float64 // K, at which densities and viscosities are those told
	Expansion         float64 // 1/K, of the fluid's volume
	CarrierExpansion  float64 // 1/K, of that of the liquid round it
	DensityDrift      float64 // kg/(m³·K), change of DensityDifference
	Viscosity         float64 // Pa·s
	Relaxation        float64 // s, of the magnetisation after the field inside
	CarrierViscosity  float64 // Pa·s, of the liquid round it
	ViscosityDrift    float64 // 1/K, relative change of either viscosity
	SurfaceTension    float64 // N/m, against the carrier
	ContactLine       float64 // N/m, least retaining force per width of drop; 0 = slippery pane
	ContactLineMost   float64 // N/m, greatest
	MergeGap          float64 // m, between two drops that become one
	DropDiameter      float64 // m, the reference drop
	Volume            float64 // m³, in the tank; 0 = what a scene needs
	Start             string  // where it is when a scene begins; see StartAt
}

// Tank is the panes round the fluid.
type Tank struct {
	AirGap        float64 // m, board's front face to the rear pane
	Rear          float64 // m, the rear pane's thickness; 0 = the board holds the fluid
	RearMaterial  string
	Front         float64 // m
	FrontMaterial string
	Spacers       float64 // m, from spacer to spacer; 0 = none
	Bottom        float64 // m, from the lower edge of the lowest row to the tank's floor
	Room          float64 // 0…1, share of the tank left to air
}

// How the display hangs, as package heat computes it.
type (
	Orientation = heat.Orientation
	Back        = heat.BehindKind
)

// The orientations, and what may be behind the display.
const (
	Vertical         = heat.Vertical
	FaceUp           = heat.FaceUp
	FaceDown         = heat.FaceDown
	BackFree    Back = "free" // air all round
	BackWall         = heat.Wall
	BackSealed       = heat.Sealed
	BackCase         = heat.Case
	BackClamped      = heat.Clamped
	BackFan     Back = "fan" // air moved along it
)

// Heat is the cooling.
type Heat struct {
	Ambient           float64 // K, the warmest air, in which heat is judged
	AmbientLow        float64 // K, the coldest, in which coils draw most
	Orientation       Orientation
	Emissivity        float64
	Convection        float64 // measured over what the correlations tell
	Storage           float64 // heat stored, measured over what the tables tell
	AirSpeed          float64 // m/s; 0 = still air
	AirFlow           float64 // m³/s, through the gap behind it; 0 = none, or AirSpeed says it
	Back              Back
	BackGap           float64 // m, to a wall or a case
	BackContact       float64 // m²·K/W, to a plate it is clamped to
	CaseWidth         float64 // m, of a case or a sealed gap
	CaseHeight        float64 // m
	CaseWall          float64 // m²·K/W
	CaseEmissivity    float64
	CaseVents         float64 // m², below and again above
	BoardConductivity float64 // W/(m·K), of the laminate
	CopperFraction    float64 // 0…1, share of the copper planes that feeders cover, outside the coils
	FrontInsulation   float64 // m²·K/W, between board and front air (pane and tank)
}

// Limits is what the report measures against.
type Limits struct {
	Board      float64 // K, highest board temperature
	Touch      float64 // K, highest touchable surface temperature
	Hold       float64 // least hold ratio of a lit pixel
	FalseOn    float64 // greatest hold ratio of a dark pixel
	SupplyLoad float64 // greatest share of the supply's derated power
	Shown      float64 // 0…1, least share of the wanted pixels that the fluid is on at the frames' ends
	Stray      float64 // greatest fluid at dark pixels over that wanted
}

// Order is the board as it is ordered, beyond its coils. Lengths in m.
type Order struct {
	Width, Height float64 // of the outline, its middle on the grid's
	EdgeClearance float64 // least distance from copper to the edge
	HoleSpacing   float64 // least laminate between two holes
	WireDrill     float64 // finished hole for a pixel's wire
	DiodeSpan     float64 // between the two holes of each coil's diode, mode scan
	MountDrill    float64 // bare hole for a screw in each corner; 0 = none
}

// Bench is what readings were taken with.
type Bench struct {
	Probe float64 // m, from a field probe's face to its element
}

// Scene names what is played when no scene is given on the command line.
type Scene struct {
	Kind      string  // one of SceneKinds
	File      string  // path, for kind file
	Text      string  // for kind ticker
	Band      float64 // lit depth below the water's surface, in pixels, for kind tide; 0 = to the bottom
	Duration  float64 // s; 0 = the kind's own
	FrameTime float64 // s; 0 = the kind's own
	Speed     float64 // the scene's times are divided by it
	Mapping   string  // threshold, linear or dither
	Threshold float64 // 0…1
	Level     float64 // −1…1, drive level of a full-white pixel
	HoldLevel float64 // 0…1, drive level that holds a drop; from half of it on a pixel is lit
	Carry     bool    // plan the moves that carry the drops; level 1 is the kick then
	Gather    float64 // s between two times that drops which have run together are parted; 0 = never
	Seed      uint64
}
