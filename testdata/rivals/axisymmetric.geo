// Half plane of an axisymmetric problem in millimetres, x = r, y = z: a coil of
// rectangular section, a steel disc, a core over an air gap, a magnet. Absent parts
// are left out by the driving script, which sets the numbers.
SetFactory("OpenCASCADE");
far = 300;
n = 0;
Disk(1) = {0, 0, 0, far};
Rectangle(2) = {-far-1, -far-1, 0, far+1, 2*far+2};
BooleanDifference(3) = { Surface{1}; Delete; }{ Surface{2}; Delete; };
Rectangle(10) = {coil_r0, coil_z0, 0, coil_r1-coil_r0, coil_z1-coil_z0};
Rectangle(11) = {0, disc_z0, 0, disc_r, disc_z1-disc_z0};
parts[] = {10, 11};
If (core_r > 0)
  Rectangle(12) = {0, core_z0, 0, core_r, core_z1-core_z0};
  parts[] += {12};
EndIf
If (magnet_r > 0)
  Rectangle(13) = {0, magnet_z0, 0, magnet_r, magnet_z1-magnet_z0};
  parts[] += {13};
EndIf
all[] = BooleanFragments{ Surface{3}; Delete; }{ Surface{parts[]}; Delete; };

e = 1e-6;
coil[] = Surface In BoundingBox{coil_r0-e, coil_z0-e, -e, coil_r1+e, coil_z1+e, e};
disc[] = Surface In BoundingBox{-e, disc_z0-e, -e, disc_r+e, disc_z1+e, e};
steel[] = disc[];
If (core_r > 0)
  steel[] += Surface In BoundingBox{-e, core_z0-e, -e, core_r+e, core_z1+e, e};
EndIf
magnet[] = {};
If (magnet_r > 0)
  magnet[] = Surface In BoundingBox{-e, magnet_z0-e, -e, magnet_r+e, magnet_z1+e, e};
EndIf
air[] = Surface{:};
air[] -= coil[];
air[] -= steel[];
air[] -= magnet[];
Physical Surface("air", 1) = {air[]};
Physical Surface("coil", 2) = {coil[]};
Physical Surface("steel", 3) = {steel[]};
Physical Surface("magnet", 4) = {magnet[]};
// w = 0 on the axis and far away.
edge[] = CombinedBoundary{ Surface{:}; };
Physical Curve("edge", 10) = {edge[]};

edges[] = Boundary{ Surface{steel[]}; };
Field[1] = Distance;
Field[1].CurvesList = {edges[]};
Field[1].NumPointsPerCurve = 400;
Field[2] = MathEval;
Field[2].F = Sprintf("Min(%g + 0.12*F1, 0.2 + 0.12*Max(0, Sqrt(x*x+y*y) - 11))", fine);
Background Field = 2;
Mesh.MeshSizeExtendFromBoundary = 0;
Mesh.MeshSizeFromPoints = 0;
