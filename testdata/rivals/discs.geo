// One eighth of a 3 × 3 grid of steel discs, with a core on each or none: the wedge
// 0 ≤ y ≤ x inside a sphere, with a shell about it. Millimetres. Given: pitch, disc_r,
// disc_z0, disc_z1, core_r, core_z1, inner, outer; with sheet_r > 0 the discs are pins on
// one sheet of that radius between sheet_z0 and disc_z0; sizes of elements: edge at the steel's
// edges, near about the places that are read, at height high.
SetFactory("OpenCASCADE");
Mesh.ElementOrder = 2;
Mesh.CharacteristicLengthExtendFromBoundary = 0; Mesh.CharacteristicLengthFromPoints = 0;
Sphere(1) = {0, 0, 0, inner, -Pi/2, Pi/2, Pi/4};
Sphere(2) = {0, 0, 0, outer, -Pi/2, Pi/2, Pi/4};
steel() = {};
For k In {0:2}
  x = (k > 0) ? pitch : 0; y = (k > 1) ? pitch : 0;
  Cylinder(10+k) = {x, y, disc_z0, 0, 0, disc_z1-disc_z0, disc_r};
  cut() = BooleanIntersection{ Volume{10+k}; Delete; }{ Volume{1}; };
  steel() += cut();
  If (core_r > 0)
    Cylinder(20+k) = {x, y, disc_z1, 0, 0, core_z1-disc_z1, core_r};
    cut() = BooleanIntersection{ Volume{20+k}; Delete; }{ Volume{1}; };
    steel() += cut();
  EndIf
EndFor
If (sheet_r > 0)
  Cylinder(30) = {0, 0, sheet_z0, 0, 0, disc_z0-sheet_z0, sheet_r};
  cut() = BooleanIntersection{ Volume{30}; Delete; }{ Volume{1}; };
  steel() += cut();
EndIf
all() = BooleanFragments{ Volume{2}; Delete; }{ Volume{1, steel()}; Delete; };
eps = 0.1;
lit() = Volume In BoundingBox{-disc_r-eps, -eps, disc_z0-eps, disc_r+eps, disc_r+eps, core_z1+eps};
right() = Volume In BoundingBox{pitch-disc_r-eps, -eps, disc_z0-eps, pitch+disc_r+eps, disc_r+eps, core_z1+eps};
diagonal() = Volume In BoundingBox{pitch-disc_r-eps, pitch-disc_r-eps, disc_z0-eps, pitch+disc_r+eps, pitch+disc_r+eps, core_z1+eps};
inside() = Volume In BoundingBox{-inner-eps, -eps, -inner-eps, inner+eps, inner+eps, inner+eps};
air() = inside(); air() -= lit(); air() -= right(); air() -= diagonal();
sheet() = {};
If (sheet_r > 0)
  sheet() = Volume In BoundingBox{-eps, -eps, sheet_z0-eps, sheet_r+eps, sheet_r+eps, disc_z0+eps};
  air() -= sheet();
EndIf
shell() = all(); shell() -= inside();
Physical Volume(1) = {air()};
Physical Volume(2) = {lit(), sheet()};
Physical Volume(3) = {right(), diagonal()};
Physical Volume(4) = {shell()};
outside() = CombinedBoundary{ Volume{shell()}; };
// The sphere's outermost surface: the only one that reaches past inner on all sides of z.
For i In {0:#outside()-1}
  m() = BoundingBox Surface{outside(i)};
  If (m(5) > inner+eps && m(1) < eps && m(4) > 0.5*outer && m(3) > 0.9*outer)
    Physical Surface(10) = {outside(i)};
  EndIf
EndFor
edges() = Abs(Boundary{ Surface{ Abs(Boundary{ Volume{lit(), right(), diagonal()}; }) }; });
Field[1] = Distance; Field[1].EdgesList = {edges()}; Field[1].NNodesByEdge = 100;
Field[2] = MathEval; Field[2].F = Sprintf("%g + 0.35*F1", edge);
Point(1001) = {0, 0, high}; Point(1002) = {pitch, 0, high}; Point(1003) = {pitch, pitch, high}; Point(1004) = {pitch/2, 0, high};
Field[3] = Distance; Field[3].NodesList = {1001:1004};
Field[4] = MathEval; Field[4].F = Sprintf("%g + 0.35*F3", near);
Field[6] = MathEval; Field[6].F = "1e9";
If (sheet_r > 0) // a few elements through the sheet where the pins stand, flatter ones farther out
  Field[6].F = Sprintf("%g + 0.25*Abs(z+%g) + 0.12*Max(0, Sqrt(x*x+y*y)-%g)", 2*edge, -(sheet_z0+disc_z0)/2, 1.5*pitch+disc_r);
EndIf
Field[5] = Min; Field[5].FieldsList = {2, 4, 6};
Background Field = 5;
