//! The largest stump inside one tooth: nowhere nearer to the surface than the need there, no undercut along the path, walls with the
//! convergence asked for, standing on the finish line.
//!
//! At a place of depth -d below the surface the body R = { d + need <= 0 } may stand, with the need blended by surface and, over the first
//! millimetre above the finish line, grown from the margin's depth to the wall's. Section by section upward
//! g(z) = max( d + need, l(z - h) + h tan(theta) ), l(z) = max( (d + need) / |g_xy|, l(z - h) + h tan(theta) ):
//! what has left the section stays outside. With a wanted outer form the need is the lesser of those of the surface that stands and of the wanted one
//! nearest to the place ([`crate::preparation`]). The path may tilt towards lip or tongue: of eight tilts the one that leaves the average tooth most. Walls are straight only where the opposite side is prepared too; a facing on one side has no path
//! to keep. General form: `shape::Field::drafted`; here the same with all measures in one pass, per draw.

use crate::Needs;
use crate::block::{Node, ToothBlock, inside};

/// Height over which the margin's depth grows to the wall's, mm.
pub(crate) const CHAMFER: f64 = 1.0;

/// One draw's tooth against the average one on the lattice.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Shape {
    /// Factors on widths and heights.
    pub(crate) wide: f64,
    pub(crate) tall: f64,
    /// Finish line above the enamel's edge, mm.
    pub(crate) finish: f64,
    /// Height at which wear has cut the crown off, mm; infinite where it has not.
    pub(crate) worn_to: f64,
    /// Factor on enamel thickness.
    pub(crate) enamel: f64,
    /// How much further off the pulp lies than in the average tooth: from the chewing surface, facial, lingual, proximal, mm.
    pub(crate) pulp_shift: [f64; 4],
}

impl Shape {
    /// The average tooth with its finish line half a millimetre above the enamel's edge.
    pub(crate) const AVERAGE: Self =
        Self { wide: 1.0, tall: 1.0, finish: 0.5, worn_to: f64::INFINITY, enamel: 1.0, pulp_shift: [0.0; 4] };
}

/// Walls of a stump.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Walls {
    /// Tangent of half the total convergence.
    pub(crate) tangent: f64,
    /// Tangents of the path's tilt towards mesial and towards the lip or cheek: it takes from the lean of the wall it tilts to and adds to the
    /// opposite one's.
    pub(crate) tilt: [f64; 2],
}

/// One draw's preparation.
#[derive(Debug, Clone, Copy, Default)]
pub(crate) struct Cut {
    pub(crate) removed_share: f64,
    pub(crate) stump_volume: f64,
    /// Mean depth of what is cut: chewing surface, facial, lingual, proximal, mm.
    pub(crate) depth: [f64; 4],
    pub(crate) area: f64,
    pub(crate) enamel_left: f64,
    pub(crate) dentine_over_pulp: f64,
    /// Top of the stump above the facial enamel edge, mm.
    pub(crate) top: f64,
}

/// Draws cut side by side, so that the processor does them at once.
pub(crate) const LANES: usize = 8;

type Lanes = [f32; LANES];

/// One draw's wish.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Wish {
    /// Depths achieved, mm.
    pub(crate) needs: Needs,
    pub(crate) shape: Shape,
    pub(crate) walls: Walls,
}

/// What each lane asks for, in the lattice's own lengths.
struct Asked {
    occlusal: Lanes,
    axial: [Lanes; 3],
    margin: Lanes,
    /// How much a straight wall leans in from layer to layer: facial, lingual, proximal.
    rise: [Lanes; 3],
    /// What the path's tilt towards mesial takes from that on the mesial side.
    mesial_tilt: Lanes,
    finish: Lanes,
    worn_to: Lanes,
    per_chamfer: Lanes,
    enamel: Lanes,
    pulp_shift: [Lanes; 4],
    /// 1 for a side that is cut: facial, lingual, proximal.
    cut: [f32; 3],
    /// 1 where straight walls bind: facial and lingual need each other, proximal walls come in pairs.
    straight: [f32; 3],
}

impl Asked {
    fn new(wishes: &[Wish; LANES], cell: f64) -> Self {
        let lanes = |f: &dyn Fn(&Wish) -> f64| -> Lanes { std::array::from_fn(|l| f(&wishes[l]) as f32) };
        let first = &wishes[0].needs;
        let is = |yes: bool| if yes { 1.0 } else { 0.0 };
        let (facial, lingual, proximal) = (first.facial > 0.0, first.lingual > 0.0, first.proximal > 0.0);
        let rise = |lean: &dyn Fn(&Walls) -> f64| lanes(&|w| cell * lean(&w.walls) * w.shape.tall / w.shape.wide);
        Self {
            occlusal: lanes(&|w| w.needs.occlusal / w.shape.tall),
            axial: [
                lanes(&|w| w.needs.facial / w.shape.wide),
                lanes(&|w| w.needs.lingual / w.shape.wide),
                lanes(&|w| w.needs.proximal / w.shape.wide),
            ],
            margin: lanes(&|w| w.needs.margin / w.shape.wide),
            rise: [rise(&|w| w.tangent - w.tilt[1]), rise(&|w| w.tangent + w.tilt[1]), rise(&|w| w.tangent)],
            mesial_tilt: rise(&|w| w.tilt[0]),
            finish: lanes(&|w| w.shape.finish / w.shape.tall),
            worn_to: lanes(&|w| w.shape.worn_to / w.shape.tall),
            per_chamfer: lanes(&|w| w.shape.tall / CHAMFER),
            enamel: lanes(&|w| w.shape.enamel),
            pulp_shift: std::array::from_fn(|z| lanes(&|w| w.shape.pulp_shift[z])),
            cut: [is(facial), is(lingual), is(proximal)],
            straight: [is(facial && lingual), is(facial && lingual), is(proximal)],
        }
    }
}

impl ToothBlock {
    /// Volume of one draw's crown above the enamel's edge, as worn, mm3.
    pub(crate) fn crown_volume(&self, shape: &Shape) -> f64 {
        let volume = self.volume * shape.wide * shape.wide * shape.tall;
        if shape.worn_to.is_infinite() {
            return volume;
        }
        let worn_to = (shape.worn_to / shape.tall) as f32;
        let standing = |n: &Node| f64::from(n.crown) * inside(f64::from(n.outer.max(n.height - worn_to)), self.cell);
        volume * self.nodes.iter().map(standing).sum::<f64>() * self.cell.powi(3) / self.volume
    }

    /// Tilt of the path towards the lip or cheek (tangent) that leaves the average tooth the largest stump under a full crown of
    /// usual depths: of eight from -0.12 to 0.16. One path a tooth, so that options are compared on the same.
    pub(crate) fn best_tilt(&self, tangent: f64) -> [f64; 2] {
        let needs = Needs::USUAL;
        let tilts: [f64; LANES] = std::array::from_fn(|i| 0.04 * (i as f64 - 3.0));
        let wishes =
            tilts.map(|tilt| Wish { needs, shape: Shape::AVERAGE, walls: Walls { tangent, tilt: [0.0, tilt] } });
        let cuts = self.cut(&wishes);
        let most = (0..LANES).max_by(|a, b| cuts[*a].stump_volume.total_cmp(&cuts[*b].stump_volume));
        most.map_or([0.0; 2], |l| [0.0, tilts[l]])
    }

    /// The largest stumps for eight draws' needs; which sides are cut is alike in all of them.
    pub(crate) fn cut(&self, wishes: &[Wish; LANES]) -> [Cut; LANES] {
        let asked = Asked::new(wishes, self.cell);
        let mut total = Sums::default();
        let mut reached = Reached { top: [0.0; LANES], dentine: [f32::INFINITY; LANES] };
        let mut walls = vec![[f32::NEG_INFINITY; LANES]; self.columns];
        for layer in &self.layers {
            let mut sums = Partial::default();
            for (n, node) in layer.clone().zip(&self.nodes[layer.clone()]) {
                let wall = &mut walls[node.column as usize];
                self.cut_node(&asked, node, self.wished.get(n), wall, &mut sums, &mut reached);
            }
            total.add(&sums);
        }
        std::array::from_fn(|l| total.finish(l, &reached, self.cell, &wishes[l].shape))
    }

    /// One node in all lanes: where the stump's surface lies, and what that adds.
    #[inline]
    #[allow(clippy::needless_range_loop)] // a dozen arrays run in step
    fn cut_node(
        &self,
        asked: &Asked,
        node: &Node,
        wished: Option<&[f32; 4]>,
        wall: &mut Lanes,
        sums: &mut Partial,
        reached: &mut Reached,
    ) {
        let (cell, per_cell) = (self.cell as f32, (1.0 / self.cell) as f32);
        let [facial, lingual, proximal] = node.sides;
        let bound = facial * asked.straight[0] + lingual * asked.straight[1] + proximal * asked.straight[2];
        let straight_here = bound > 0.5;
        let weights = [facial * asked.cut[0], lingual * asked.cut[1], proximal * asked.cut[2]];
        let wished = wished.map(|[top, sides @ ..]| (*top, std::array::from_fn(|s| sides[s] * asked.cut[s])));
        for l in 0..LANES {
            let worn = node.height - asked.worn_to[l];
            let is_worn = worn > node.outer;
            let outer = if is_worn { worn } else { node.outer };
            let occlusal = if is_worn { 1.0 } else { node.occlusal };
            let over_finish = node.above_edge - asked.finish[l];
            // Share of the node's cell above the finish line, and how far the chamfer has grown to the wall's depth.
            let above = (0.5 + over_finish * per_cell).clamp(0.0, 1.0);
            let up = (over_finish * asked.per_chamfer[l]).clamp(0.0, 1.0);
            let need = |occlusal: f32, weights: [f32; 3]| {
                let side = weights[0] * (asked.margin[l] * (1.0 - up) + asked.axial[0][l] * up)
                    + weights[1] * (asked.margin[l] * (1.0 - up) + asked.axial[1][l] * up)
                    + weights[2] * (asked.margin[l] * (1.0 - up) + asked.axial[2][l] * up);
                occlusal * asked.occlusal[l] + (1.0 - occlusal) * side
            };
            let here = need(occlusal, weights);
            let here = wished.map_or(here, |(occlusal, weights)| here.min(need(occlusal, weights)));
            let body = outer + node.added + here;
            let lean = facial * asked.rise[0][l] + lingual * asked.rise[1][l] + proximal * asked.rise[2][l]
                - node.mesial * asked.mesial_tilt[l];
            let straight = wall[l] + lean;
            let is_cut = above > 0.0;
            let bounded = if straight_here { body.max(straight) } else { body };
            let surface = if is_cut { bounded.max(outer) } else { outer };
            let moved = (body * node.inverse_slope).max(straight);
            wall[l] = if is_cut && straight_here { moved } else { wall[l] };

            let whole = (0.5 - outer * per_cell).clamp(0.0, 1.0);
            let left = (0.5 - surface * per_cell).clamp(0.0, 1.0);
            sums.crown[l] += node.crown * whole;
            sums.stump[l] += node.crown * (whole - above * (whole - left));
            let tip = if surface < 0.0 { node.height + (-surface).min(cell) } else { 0.0 };
            reached.top[l] = reached.top[l].max(tip);

            let depth = surface - outer;
            let prepared = is_cut && depth > 1e-3 && surface.abs() < cell;
            let area = if prepared { above * (1.0 - surface.abs() * per_cell) } else { 0.0 };
            let enamel = asked.enamel[l] * node.enamel;
            sums.area[l] += area;
            sums.in_enamel[l] += if depth < enamel { area } else { 0.0 };
            let zones = [occlusal, (1.0 - occlusal) * facial, (1.0 - occlusal) * lingual, (1.0 - occlusal) * proximal];
            let mut shift = 0.0;
            for (z, zone) in zones.into_iter().enumerate() {
                sums.depth[z][l] += area * zone * depth;
                sums.weight[z][l] += area * zone;
                shift += zone * asked.pulp_shift[z][l];
            }
            let to_pulp = node.pulp - surface + shift - (enamel - depth).max(0.0);
            reached.dentine[l] = reached.dentine[l].min(if prepared { to_pulp } else { f32::INFINITY });
        }
    }
}

/// Extremes over all nodes.
struct Reached {
    top: Lanes,
    dentine: Lanes,
}

/// Sums over one layer, short enough for single precision.
#[derive(Default)]
struct Partial {
    crown: Lanes,
    stump: Lanes,
    area: Lanes,
    in_enamel: Lanes,
    depth: [Lanes; 4],
    weight: [Lanes; 4],
}

/// Sums over all layers, in the lattice's own lengths.
#[derive(Default)]
struct Sums {
    crown: [f64; LANES],
    stump: [f64; LANES],
    area: [f64; LANES],
    in_enamel: [f64; LANES],
    depth: [[f64; LANES]; 4],
    weight: [[f64; LANES]; 4],
}

impl Sums {
    fn add(&mut self, layer: &Partial) {
        let add = |total: &mut [f64; LANES], part: &Lanes| {
            for (t, p) in total.iter_mut().zip(part) {
                *t += f64::from(*p);
            }
        };
        add(&mut self.crown, &layer.crown);
        add(&mut self.stump, &layer.stump);
        add(&mut self.area, &layer.area);
        add(&mut self.in_enamel, &layer.in_enamel);
        for z in 0..4 {
            add(&mut self.depth[z], &layer.depth[z]);
            add(&mut self.weight[z], &layer.weight[z]);
        }
    }

    fn finish(&self, l: usize, reached: &Reached, cell: f64, shape: &Shape) -> Cut {
        let (wide, tall) = (shape.wide, shape.tall);
        let volume = cell.powi(3) * wide * wide * tall;
        let share = |part: f64, whole: f64| if whole > 0.0 { part / whole } else { 0.0 };
        let scales = [tall, wide, wide, wide];
        Cut {
            removed_share: if self.crown[l] > 0.0 { 1.0 - self.stump[l] / self.crown[l] } else { 0.0 },
            stump_volume: self.stump[l] * volume,
            depth: std::array::from_fn(|z| share(self.depth[z][l], self.weight[z][l]) * scales[z]),
            area: self.area[l] * cell * cell * wide * (wide * tall).sqrt(),
            enamel_left: if self.area[l] > 0.0 { self.in_enamel[l] / self.area[l] } else { 1.0 },
            dentine_over_pulp: f64::from(reached.dentine[l]),
            top: f64::from(reached.top[l]) * tall,
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::chamber::Chamber;
    use crate::enamel::EnamelForm;
    use crate::pulp::PulpWalls;
    use crate::{Needs, ToothForm};
    use catalogue::Catalogue;
    use catalogue::words::Tooth;

    #[test]
    fn the_lattice_of_the_draws_is_fine_enough() {
        let catalogue = Catalogue::shipped().unwrap();
        let needs = Needs { occlusal: 1.5, facial: 1.2, lingual: 1.0, proximal: 1.0, margin: 0.8 };
        for code in [11, 13, 14, 26, 31, 45, 46] {
            let form = ToothForm::of(&catalogue, Tooth::new(code).unwrap()).unwrap();
            let chamber = Chamber::new(&form, &PulpWalls::of(form.tooth()), form.size().crown_height, 5.0, 1.0);
            let at = |cell: f64| {
                let block = ToothBlock::new(&form, &chamber, &EnamelForm::of(&form), cell, None).unwrap();
                let walls = Walls { tangent: 0.14, tilt: [0.0; 2] };
                (block.volume, block.cut(&[Wish { needs, shape: Shape::AVERAGE, walls }; LANES])[0])
            };
            let (fine, coarse) = (at(0.15), at(crate::standing::cell(form.tooth())));
            // Volumes: second order in the cell. The top of a thin edge and the nearest place to the pulp are single nodes: half a cell.
            assert!((coarse.0 / fine.0 - 1.0).abs() < 0.005, "{code}: volume");
            assert!((coarse.1.removed_share - fine.1.removed_share).abs() < 0.01, "{code}: share removed");
            assert!((coarse.1.area / fine.1.area - 1.0).abs() < 0.05, "{code}: area {} {}", coarse.1.area, fine.1.area);
            assert!((coarse.1.top - fine.1.top).abs() < 0.45, "{code}: top {} {}", coarse.1.top, fine.1.top);
            let dentine = coarse.1.dentine_over_pulp - fine.1.dentine_over_pulp;
            assert!(dentine.abs() < 0.2, "{code}: dentine off by {dentine}");
        }
    }
}
