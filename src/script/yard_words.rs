//! The words with which a script declares a yard, its prices and its habits.

use std::rc::Rc;

use jiff::civil::Date;
use rhai::{Dynamic, Engine, EvalAltResult, FnPtr, NativeCallContext};
use rust_decimal::Decimal;

use super::desk::{HostState, declaring};
use super::limits::MAX_NAME;
use super::refusal::{ScriptResult, mark, refuse, showable};
use super::unit_words::mass_unit;
use super::values::{from_one, number, seen};
use super::word::{Word, word};
use crate::market::{MixVerdict, MixedLot, OfferId, YardDraft, YardError};
use crate::quantity::{Mass, Notation};

/// A script's handle of the yard that it declares.
#[derive(Debug, Clone, Copy)]
pub(super) struct YardHandle;

/// A script's handle of one offer.
#[derive(Debug, Clone, Copy)]
pub(super) struct OfferHandle(OfferId);

/// The words of a yard, in the order in which an author meets them.
#[rustfmt::skip]
pub(super) const WORDS: &[Word] = &[
    word("script", "yard", "id, name", "starts a yard; the first statement of the file",
        r#"yard("corner-yard", "Corner Yard").currency("AUD").weighs_in("kg", 0.02);"#).giving("yard"),
    word("yard", "region", "text", "country, and province or state",
        r#".region("AU-VIC")"#),
    word("yard", "currency", "code", "the ISO 4217 code of the currency that it pays in",
        r#".currency("AUD")"#),
    word("yard", "weighs_in", "unit, or unit, division", "its unit of weight, and the division of its scale in that unit",
        r#".weighs_in("kg", 0.02)"#).in_units("the division in the unit named"),
    word("yard", "pays_to", "amount", "the smallest step of a cash payment",
        r#".pays_to(0.05)"#).in_units("the yard's currency"),
    word("yard", "decimal_comma", "", "numbers at this yard are written with a decimal comma",
        r#".decimal_comma()"#),
    word("yard", "sample_prices", "", "marks the prices as invented; said wherever they are shown",
        r#".sample_prices()"#),
    word("yard", "says", "text", "a remark about the yard",
        r#".says("Closed at noon.")"#),
    word("yard", "author", "text", "who wrote the price module",
        r#".author("A. Writer")"#),
    word("yard", "licence", "text", "under which licence it may be passed on",
        r#".licence("CC0-1.0")"#),
    word("yard", "revision", "count", "counts up with every change",
        r#".revision(2)"#),
    word("yard", "needs_api", "count", "the script language version that it needs",
        r#".needs_api(1)"#),
    word("script", "as_of", "date", "the day of the prices that follow, year-month-day",
        r#"as_of("2026-11-02");"#),
    word("script", "buys", "grade, local name, amount", "a price per unit of the yard's weight",
        r#"buys("copper-1", "No. 1 copper", 10.60);"#).giving("price").in_units("the yard's currency, per unit of its weight unless .per or .each follows"),
    word("script", "pays_each", "grade, local name, amount", "a price per piece",
        r#"pays_each("compressor-sealed", "Sealed unit", 4.00);"#).giving("price").in_units("the yard's currency, per piece"),
    word("script", "charges", "grade, local name, amount", "what the yard takes for accepting something",
        r#"charges("crt-display", "Tube display", 5.00).each();"#).giving("price").in_units("the yard's currency, per unit of its weight unless .per or .each follows"),
    word("script", "index", "name, price", "a price that others publish, with its value on the day of the prices",
        r#"index("copper-notice", "13.40 AUD/kg");"#).in_units("the currency and unit named"),
    word("script", "buys_share", "grade, local name, share, index", "a price that follows an index: 0.9 is 90 % of it",
        r#"index("copper-notice", "13.40 AUD/kg"); buys_share("copper-1", "No. 1 copper", 0.9, "copper-notice");"#).giving("price").in_units("the share of the index; its currency and unit"),
    word("price", "each", "", "the price is per piece",
        r#".each()"#),
    word("price", "per", "unit", "the price is per this unit instead of the yard's",
        r#".per("kg")"#),
    word("price", "from", "weight, amount", "from this weight on, all of the lot at this price",
        r#".from(20.kg, 10.90)"#).in_units("a weight with its unit; the amount as in the price before it"),
    word("price", "at_least", "weight", "the smallest lot that is taken",
        r#".at_least(2.kg)"#),
    word("script", "visit_fee", "name, amount", "what each visit costs",
        r#"visit_fee("weighing", 2.00);"#).in_units("the yard's currency"),
    word("script", "least_load", "weight", "the lightest load that is taken, all lots together",
        r#"least_load(20.kg);"#),
    word("script", "mixed", "|lot| …", "how the yard treats a lot of mixed grades: gives a grade, or lot.less(…), or lot.refuse(…)",
        r#"mixed(|lot| lot.lowest_grade());"#),
    word("lot", "lowest_grade", "", "the grade in it that brings least per weight",
        r#"lot.lowest_grade()"#).giving("text"),
    word("lot", "heaviest_grade", "", "the grade that most of it is",
        r#"lot.heaviest_grade()"#).giving("text"),
    word("lot", "weight", "", "what it weighs in all",
        r#"if lot.weight() < 5.kg { lot.refuse("too little to sort") } else { lot.lowest_grade() }"#).giving("weight"),
    word("lot", "share", "grade", "the share of its weight that is this grade, from 0 to 1",
        r#"if lot.share("copper-2") > 0.9 { "copper-2" } else { lot.lowest_grade() }"#).giving("number"),
    word("lot", "less", "grade, percent", "buys it as this grade, less a percentage",
        r#"lot.less("copper-2", 15)"#).giving("verdict").in_units("percent, 0 to 100"),
    word("lot", "refuse", "text", "does not take it, and says why",
        r#"lot.refuse("no mixed lots")"#).giving("verdict"),
];

/// Registers the yard words.
pub(super) fn register(engine: &mut Engine, desk: &Rc<HostState>) {
    engine.register_type_with_name::<YardHandle>("yard");
    engine.register_type_with_name::<OfferHandle>("price");
    engine.register_type_with_name::<Rc<MixedLot>>("lot");
    engine.register_type_with_name::<MixVerdict>("verdict");
    whole(engine, desk);
    imprint(engine, desk);
    offers(engine, desk);
    indexes(engine, desk);
    terms(engine, desk);
    lots(engine, desk);
}

/// Applies `fill` to the yard being declared; a refusal points at the call.
fn with_yard<T>(
    ctx: &NativeCallContext,
    desk: &HostState,
    fill: impl FnOnce(&mut YardDraft) -> Result<T, YardError>,
) -> ScriptResult<T> {
    declaring(ctx, desk)?;
    let mut slot = desk.yard.borrow_mut();
    let draft =
        slot.as_mut().ok_or_else(|| refuse(ctx, "no yard is declared yet", "start with yard(\"id\", \"Name\")"))?;
    fill(draft).map_err(|error| refuse(ctx, error.to_string(), ""))
}

fn amount(ctx: &NativeCallContext, value: &Dynamic) -> ScriptResult<Decimal> {
    number(value)
        .ok_or_else(|| refuse(ctx, format!("{} is no amount of money", seen(value)), "write a number such as 3.40"))
}

fn date(ctx: &NativeCallContext, text: &str) -> ScriptResult<Date> {
    text.parse().map_err(|_| refuse(ctx, format!("{text:?} is no date"), "write year-month-day, such as 2026-11-02"))
}

fn whole(engine: &mut Engine, desk: &Rc<HostState>) {
    let shared = desk.clone();
    engine.register_fn("yard", move |ctx: NativeCallContext, id: &str, name: &str| -> ScriptResult<YardHandle> {
        declaring(&ctx, &shared)?;
        if shared.yard.borrow().is_some() {
            return Err(refuse(&ctx, "this file already declares a yard", "one yard a file"));
        }
        let draft = YardDraft::new(id, name).map_err(|error| refuse(&ctx, error.to_string(), ""))?;
        *shared.yard.borrow_mut() = Some(draft);
        shared.declared_at.set(mark(&ctx));
        Ok(YardHandle)
    });
    yard_text(engine, desk, "currency", YardDraft::currency);
    let shared = desk.clone();
    engine.register_fn("weighs_in", move |ctx: NativeCallContext, yard: YardHandle, word: &str| {
        let unit = mass_unit(&ctx, word)?;
        with_yard(&ctx, &shared, |draft| draft.weighs_in(unit, None)).map(|()| yard)
    });
    let shared = desk.clone();
    engine.register_fn("weighs_in", move |ctx: NativeCallContext, yard: YardHandle, word: &str, division: Dynamic| {
        let unit = mass_unit(&ctx, word)?;
        let division = number(&division).ok_or_else(|| {
            refuse(&ctx, format!("{} is no scale division", seen(&division)), "write weighs_in(\"kg\", 0.02)")
        })?;
        with_yard(&ctx, &shared, |draft| draft.weighs_in(unit, Some(division))).map(|()| yard)
    });
    let shared = desk.clone();
    engine.register_fn("pays_to", move |ctx: NativeCallContext, yard: YardHandle, step: Dynamic| {
        let step = amount(&ctx, &step)?;
        with_yard(&ctx, &shared, |draft| draft.pays_to(step)).map(|()| yard)
    });
    let shared = desk.clone();
    engine.register_fn("decimal_comma", move |ctx: NativeCallContext, yard: YardHandle| {
        with_yard(&ctx, &shared, |draft| {
            draft.notation(Notation::Comma);
            Ok(())
        })
        .map(|()| yard)
    });
}

fn imprint(engine: &mut Engine, desk: &Rc<HostState>) {
    yard_text(engine, desk, "region", YardDraft::region);
    yard_text(engine, desk, "says", YardDraft::note);
    yard_text(engine, desk, "author", YardDraft::author);
    yard_text(engine, desk, "licence", YardDraft::licence);
    yard_number(engine, desk, "revision", YardDraft::revision);
    yard_number(engine, desk, "needs_api", YardDraft::needs_api);
    let shared = desk.clone();
    engine.register_fn("sample_prices", move |ctx: NativeCallContext, yard: YardHandle| {
        with_yard(&ctx, &shared, |draft| {
            draft.sample();
            Ok(())
        })
        .map(|()| yard)
    });
    let shared = desk.clone();
    engine.register_fn("as_of", move |ctx: NativeCallContext, day: &str| {
        let day = date(&ctx, day)?;
        shared.yard_places.borrow_mut().date(mark(&ctx));
        with_yard(&ctx, &shared, |draft| {
            draft.as_of(day);
            Ok(())
        })
    });
    let shared = desk.clone();
    engine.register_fn("visit_fee", move |ctx: NativeCallContext, name: &str, fee: Dynamic| {
        let fee = amount(&ctx, &fee)?;
        with_yard(&ctx, &shared, |draft| draft.visit_fee(name, fee))
    });
    let shared = desk.clone();
    engine.register_fn("least_load", move |ctx: NativeCallContext, least: Mass| {
        with_yard(&ctx, &shared, |draft| draft.least_load(least))
    });
}

fn yard_text(
    engine: &mut Engine,
    desk: &Rc<HostState>,
    word: &str,
    fill: fn(&mut YardDraft, &str) -> Result<(), YardError>,
) {
    let desk = desk.clone();
    engine.register_fn(word, move |ctx: NativeCallContext, yard: YardHandle, text: &str| {
        with_yard(&ctx, &desk, |draft| fill(draft, text)).map(|()| yard)
    });
}

fn yard_number(engine: &mut Engine, desk: &Rc<HostState>, word: &'static str, fill: fn(&mut YardDraft, u32)) {
    let desk = desk.clone();
    engine.register_fn(word, move |ctx: NativeCallContext, yard: YardHandle, count: i64| {
        let number = from_one(&ctx, word, count)?;
        with_yard(&ctx, &desk, |draft| {
            fill(draft, number);
            Ok(())
        })
        .map(|()| yard)
    });
}

type Declare = fn(&mut YardDraft, &str, &str, Decimal) -> Result<OfferId, YardError>;

fn offers(engine: &mut Engine, desk: &Rc<HostState>) {
    let kinds: [(&str, Declare, bool); 3] = [
        ("buys", YardDraft::buys, false),
        ("charges", YardDraft::charges, false),
        ("pays_each", YardDraft::buys, true),
    ];
    for (word, declare, by_piece) in kinds {
        let shared = desk.clone();
        engine.register_fn(word, move |ctx: NativeCallContext, grade: &str, name: &str, price: Dynamic| {
            shared.known_grade(&ctx, grade)?;
            let price = amount(&ctx, &price)?;
            let offer = with_yard(&ctx, &shared, |draft| {
                let offer = declare(draft, grade, name, price)?;
                if by_piece {
                    draft.each(offer)?;
                }
                Ok(offer)
            })?;
            shared.offers_at.borrow_mut().push(mark(&ctx));
            shared.yard_places.borrow_mut().offer(grade, mark(&ctx), word == "charges");
            Ok::<_, Box<EvalAltResult>>(OfferHandle(offer))
        });
    }
}

/// Words for prices that follow an index.
fn indexes(engine: &mut Engine, desk: &Rc<HostState>) {
    let shared = desk.clone();
    engine.register_fn("index", move |ctx: NativeCallContext, name: &str, value: &str| {
        with_yard(&ctx, &shared, |draft| draft.index(name, value))
    });
    let shared = desk.clone();
    engine.register_fn(
        "buys_share",
        move |ctx: NativeCallContext, grade: &str, name: &str, share: Dynamic, index: &str| {
            shared.known_grade(&ctx, grade)?;
            let share = number(&share)
                .ok_or_else(|| refuse(&ctx, format!("{} is no share", seen(&share)), "write a number such as 0.9"))?;
            let offer = with_yard(&ctx, &shared, |draft| draft.buys_share(grade, name, share, index))?;
            shared.offers_at.borrow_mut().push(mark(&ctx));
            shared.yard_places.borrow_mut().offer(grade, mark(&ctx), false);
            Ok::<_, Box<EvalAltResult>>(OfferHandle(offer))
        },
    );
}

fn terms(engine: &mut Engine, desk: &Rc<HostState>) {
    let shared = desk.clone();
    engine.register_fn("each", move |ctx: NativeCallContext, offer: OfferHandle| {
        with_yard(&ctx, &shared, |draft| draft.each(offer.0)).map(|()| offer)
    });
    let shared = desk.clone();
    engine.register_fn("per", move |ctx: NativeCallContext, offer: OfferHandle, word: &str| {
        let unit = mass_unit(&ctx, word)?;
        with_yard(&ctx, &shared, |draft| draft.per(offer.0, unit)).map(|()| offer)
    });
    let shared = desk.clone();
    engine.register_fn("from", move |ctx: NativeCallContext, offer: OfferHandle, least: Mass, price: Dynamic| {
        let price = amount(&ctx, &price)?;
        shared.yard_places.borrow_mut().tier(offer.0.index(), mark(&ctx));
        with_yard(&ctx, &shared, |draft| draft.tier(offer.0, least, price)).map(|()| offer)
    });
    let shared = desk.clone();
    engine.register_fn("at_least", move |ctx: NativeCallContext, offer: OfferHandle, least: Mass| {
        shared.yard_places.borrow_mut().minimum(offer.0.index(), mark(&ctx));
        with_yard(&ctx, &shared, |draft| draft.minimum(offer.0, least)).map(|()| offer)
    });
    let shared = desk.clone();
    engine.register_fn("mixed", move |ctx: NativeCallContext, rule: FnPtr| {
        shared.yard_places.borrow_mut().mixed = mark(&ctx);
        let former = shared.mixed.borrow_mut().replace(rule);
        match former {
            Some(_) => Err(refuse(&ctx, "this yard has its rule for mixed lots already", "keep one mixed(…)")),
            None => Ok(()),
        }
    });
}

/// What a rule for mixed lots can ask about the lot, and what it can answer.
fn lots(engine: &mut Engine, desk: &Rc<HostState>) {
    engine.register_fn("lowest_grade", |lot: Rc<MixedLot>| lot.lowest_grade().unwrap_or_default().to_owned());
    engine.register_fn("heaviest_grade", |lot: Rc<MixedLot>| lot.heaviest_grade().unwrap_or_default().to_owned());
    engine.register_fn("weight", |lot: Rc<MixedLot>| lot.mass());
    engine.register_fn("share", |lot: Rc<MixedLot>, grade: &str| lot.share(grade).normalize());
    let shared = desk.clone();
    engine.register_fn("less", move |ctx: NativeCallContext, _: Rc<MixedLot>, grade: &str, percent: Dynamic| {
        shared.known_grade(&ctx, grade)?;
        let percent = number(&percent).filter(|p| (Decimal::ZERO..=Decimal::ONE_HUNDRED).contains(p));
        let percent =
            percent.ok_or_else(|| refuse(&ctx, "the deduction is no percentage from 0 to 100", "such as 15"))?;
        Ok::<_, Box<EvalAltResult>>(MixVerdict::AsGradeLess(grade.to_owned(), percent))
    });
    engine.register_fn("refuse", |ctx: NativeCallContext, _: Rc<MixedLot>, reason: &str| -> ScriptResult<MixVerdict> {
        showable(&ctx, "the reason", reason, MAX_NAME)?;
        Ok(MixVerdict::Refused(reason.to_owned()))
    });
}
