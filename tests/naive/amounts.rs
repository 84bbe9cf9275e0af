//! Caps and the food that goes in, by statements 17 to 21, without any cleverness: T* by bisection.

use super::data::{About, Amount, Composition, Demand};
use super::facts::In;
use super::own::{Capped, Judge};

/// What a class may give.
#[derive(Debug, Clone, Copy)]
pub(crate) enum Cap {
    Share(f64),
    Mg(f64),
}

impl Cap {
    pub(crate) fn at(self, food: f64) -> f64 {
        match self {
            Cap::Share(share) => share * food,
            Cap::Mg(mg) => mg,
        }
    }
}

/// A scrap that may go in: its mass in mg, whether it is food, the caps that bind it with the mass
/// of each cap's class.
pub(crate) struct Offer {
    pub(crate) mg: f64,
    pub(crate) food: bool,
    pub(crate) caps: Vec<(Cap, f64)>,
}

impl Offer {
    pub(crate) fn gives(&self, food: f64) -> f64 {
        let part = self.caps.iter().filter(|(_, class)| *class > 0.0).map(|(cap, class)| cap.at(food) / class);
        self.mg * part.fold(1.0, f64::min).max(0.0)
    }
}

/// The greatest T with sum of x(T) = T over food.
pub(crate) fn greatest(offers: &[Offer]) -> f64 {
    let sum = |t: f64| offers.iter().filter(|o| o.food).map(|o| o.gives(t)).sum::<f64>();
    let (mut low, mut high) = (0.0, offers.iter().filter(|o| o.food).map(|o| o.mg).sum::<f64>());
    // The sum less T is concave and not below 0 at 0: it is not below 0 just up to the greatest root.
    let holds = |t: f64| sum(t) >= t * (1.0 - 1e-12);
    if holds(high) {
        return high;
    }
    for _ in 0..200 {
        let middle = (low + high) / 2.0;
        if holds(middle) { low = middle } else { high = middle }
    }
    low
}

impl Judge<'_> {
    /// What a class may give; `None` if that cannot be told.
    pub(crate) fn cap(&self, capped: &Capped) -> Option<Cap> {
        let book = &self.world.rules.settings;
        let amount =
            if matches!(capped.amount, Amount::Setting { .. }) { &book.a_little.amount } else { &capped.amount };
        let (grams, per) = match amount {
            Amount::Share { share_of_food } => return Some(Cap::Share(*share_of_food)),
            Amount::Mass { grams, per } => (grams, per),
            Amount::Setting { setting } => panic!("{setting}"),
        };
        let mg = match per.as_str() {
            "feeding" => grams * 1000.0,
            "kg_of_worms" => grams * self.set.bin.worms.map_or(book.worms_g.amount, |m| m.grams()),
            "square_metre" => grams * 1000.0 * self.set.bin.area_m2.or(book.area_m2)?,
            "week" => (grams * 1000.0 - self.fed_this_week(&capped.class.0)).max(0.0),
            other => panic!("{other}"),
        };
        Some(Cap::Mg(mg.round()))
    }

    fn fed_this_week(&self, rule: &str) -> f64 {
        let rule = self.world.rule(rule);
        let of_week = self.world.record.iter().flatten().filter(|ate| (0..7).contains(&ate.days_ago));
        of_week
            .map(|ate| match self.in_subject(rule, &ate.view(self.world)) {
                Some(In::Whole) => ate.mg,
                Some(In::Share(share)) => ate.mg * share,
                Some(In::Trace) | None => 0.0,
            })
            .sum()
    }
}

/// A window that the mix must be in.
#[derive(Debug, Clone)]
pub(crate) struct Window {
    pub(crate) rule: String,
    moisture: bool,
    low: f64,
    high: f64,
    aim: Option<f64>,
}

/// Mass, water, carbon and nitrogen of a mix.
#[derive(Debug, Clone, Copy, Default)]
pub(crate) struct Mix {
    grams: f64,
    water: f64,
    carbon: f64,
    nitrogen: f64,
}

impl Mix {
    pub(crate) fn with(self, grams: f64, c: &Composition) -> Mix {
        Mix {
            grams: self.grams + grams,
            water: self.water + grams * c.water,
            carbon: self.carbon + grams * c.carbon,
            nitrogen: self.nitrogen + grams * c.nitrogen,
        }
    }

    fn pair(&self, moisture: bool) -> (f64, f64) {
        if moisture { (self.water, self.grams) } else { (self.carbon, self.nitrogen) }
    }
}

impl Window {
    fn met(&self, mix: &Mix) -> bool {
        let (top, bottom) = mix.pair(self.moisture);
        let near = 1e-6 * bottom.max(1e-3);
        top >= self.low * bottom - near && top <= self.high * bottom + near
    }

    /// How much card brings the figure to a value.
    fn card_for(&self, value: f64, mix: &Mix, card: &Composition) -> f64 {
        let ((top, bottom), (t, b)) = (mix.pair(self.moisture), Mix::default().with(1.0, card).pair(self.moisture));
        (top - value * bottom) / (value * b - t)
    }
}

/// What goes with the feeding.
#[derive(Debug, Clone, Default)]
pub(crate) struct Need {
    pub(crate) water: f64,
    pub(crate) card: f64,
    /// Rules whose windows are not met.
    pub(crate) unmet: Vec<String>,
}

impl Judge<'_> {
    pub(crate) fn windows(&self) -> Vec<Window> {
        let mut out = Vec::new();
        for rule in self.rules().iter().filter(|r| matches!(r.about, About::Bag(_)) && r.live) {
            if rule.when.as_ref().is_some_and(|w| super::facts::truth(self.world, self.set, None, w) == Some(false)) {
                continue;
            }
            for demand in self.demands(rule) {
                if let Demand::Have { figure, low, high, aim } = demand {
                    let (moisture, rule) = (figure == "moisture", rule.rule.clone());
                    out.push(Window { rule, moisture, low: *low, high: *high, aim: *aim });
                }
            }
        }
        out
    }
}

/// Water, then the least card that meets every window, more up to the aim: every amount at which
/// something changes is tried.
pub(crate) fn need(mix: Mix, windows: &[Window], card: &Composition, at_hand: Option<f64>) -> Need {
    let mut out = Need::default();
    let mut mix = mix;
    for w in windows.iter().filter(|w| w.moisture && w.low > 0.0 && w.low < 1.0) {
        let water = (w.low * mix.grams - mix.water) / (1.0 - w.low);
        if water > 0.0 {
            out.water += water;
            mix.grams += water;
            mix.water += water;
        }
    }
    let most = at_hand.unwrap_or(1e9);
    let roots = |pick: &dyn Fn(&Window) -> Vec<f64>| -> Vec<f64> {
        let all = windows.iter().flat_map(|w| pick(w).into_iter().map(|v| w.card_for(v, &mix, card)));
        all.filter(|g| g.is_finite() && *g >= 0.0).collect()
    };
    let mut tries = roots(&|w| vec![w.low, w.high]);
    tries.extend([0.0, most]);
    tries.retain(|g| *g <= most);
    let met = |grams: f64, some: &[&Window]| some.iter().all(|w| w.met(&mix.with(grams, card)));
    let possible = |some: &[&Window]| tries.iter().any(|g| met(*g, some));
    let all: Vec<&Window> = windows.iter().collect();
    let good: Vec<f64> = tries.iter().copied().filter(|g| met(*g, &all)).collect();
    if good.is_empty() {
        let alone: Vec<&Window> = windows.iter().filter(|w| !possible(&[w])).collect();
        let torn = || all.iter().filter(|w| all.iter().any(|v| !possible(&[w, v]))).copied().collect();
        let unmet = if alone.is_empty() { torn() } else { alone };
        out.unmet = unmet.iter().map(|w| w.rule.clone()).collect();
        return out;
    }
    let (least, greatest) = good.iter().fold((f64::MAX, 0.0f64), |(a, b), g| (a.min(*g), b.max(*g)));
    let aim = roots(&|w| w.aim.into_iter().collect()).into_iter().fold(0.0, f64::max);
    out.card = aim.clamp(least, greatest);
    out
}
