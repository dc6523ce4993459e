// Package choreograph turns the pictures of a scene into drive levels that carry the
// drops from one picture to the next, in physical time.
//
// # A move
//
// A drop is moved by leaving its pixel dark and kicking the neighbour. The kick pulls
// every drop beside the kicked pixel as hard as the one that is wanted: the others'
// pixels get a guard, a level with which they keep their drops. The kick's strength and the
// guard are worked out with the hand-over's rigid drop (package handover) at the grid's typical
// places, the guard with a margin, the kick's time for each side in a small tank; both are
// widened by what the tank asks for when it tries the plan. The energy of a hop hardly depends on the kick's strength, so the
// kick is as strong as the wanted time of a hop asks for.
//
// # Against the clock
//
// Package carry plans the moves for a wanted picture. Which picture: the one that is
// wanted when the moves are half done, so that as much of the picture is early as late;
// where pictures stand for longer than the moves take, the moves begin with the picture.
// A picture that will be over before they are half done is dropped. Only the first round
// of a plan is certain: after it the wanted picture is chosen anew.
//
// The number of drops stays what it is. Where a picture wants fewer, the others stand on
// pixels that are dark in it.
package choreograph
