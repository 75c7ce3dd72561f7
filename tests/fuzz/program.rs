//! Programs made up from bytes: values of every kind, closures that capture, and every function of the engine called with
//! whatever is at hand.

/// Functions of the engine and of the program that take a value before the dot.
const METHODS: &str = "abs all append bits bytes ceiling chars chop clear concat contains cos crop dedup drain e end ends_with \
    exp extract filter find find_map floor for_each fraction get get_bit get_bits get_chars g in_kg in_lb index_of insert int \
    is_empty is_exclusive is_inclusive is_zero keys kg len ln log make_lower make_upper map max merge min mixin oz pad pop push \
    reduce reduce_rev remove replace retain reverse round round_down round_half_down round_half_up round_up set set_bit \
    set_bits set_chars shift sign sin some sort sort_by sort_desc splice split split_rev sqrt start starts_with step sub_string \
    t tan to_chars to_debug to_degrees to_float to_hex to_int to_binary to_octal to_json to_lower to_radians to_string to_upper \
    trim truncate usually values zip chunks order_by tools says minutes after frees work guards costs";
/// Functions that stand alone.
const FUNCTIONS: &str = "abs range parse_int parse_float parse_decimal PI E max min step unit sign sqrt exp ln sin";
const OPERATORS: &str = "+ - * / % ** == != < <= > >= && || & | ^ << >> .. ..= in ??";
const VALUES: &str = "0 1 2 -1 7 63 64 1000 9223372036854775807 -9223372036854775807 0.0 1.5 -0.0000000000000000000000000001 \
    79228162514264337593543950335.0 -79228162514264337593543950335.0 0.1 1000000.0 () true false 'x' '\\U0001f600' \"\" \"abc\" \
    \"äöü\" \"1,5\" [] [1] [1,\"b\",2.5] [[1],[2]] #{} #{a:1} 0..3 0..=9 3..1 1.kg 0.g 2.5.lb";

/// Reads choices off the bytes; when they run out, always the first.
struct Choices<'a>(std::slice::Iter<'a, u8>);

impl Choices<'_> {
    fn below(&mut self, most: usize) -> usize {
        self.0.next().map_or(0, |byte| usize::from(*byte)) % most
    }

    fn word<'w>(&mut self, words: &'w str) -> &'w str {
        let all: Vec<&str> = words.split_whitespace().collect();
        let high = self.below(256);
        all[(high * 256 + self.below(256)) % all.len()]
    }

    fn name(&mut self) -> &'static str {
        ["a", "b", "c", "d", "f"][self.below(5)]
    }

    fn value(&mut self, depth: usize) -> String {
        match if depth > 2 { self.below(3) } else { self.below(9) } {
            0 => self.name().to_owned(),
            1 | 2 => self.word(VALUES).to_owned(),
            3 => format!("[{}, {}]", self.value(depth + 1), self.value(depth + 1)),
            4 => format!("#{{ k: {}, l: {} }}", self.value(depth + 1), self.value(depth + 1)),
            5 => format!("({}).{}({})", self.value(depth + 1), self.word(METHODS), self.arguments(depth + 1)),
            6 => format!("{}({})", self.word(FUNCTIONS), self.arguments(depth + 1)),
            7 => self.closure(depth + 1),
            _ => format!("({} {} {})", self.value(depth + 1), self.word(OPERATORS), self.value(depth + 1)),
        }
    }

    fn closure(&mut self, depth: usize) -> String {
        let takes = ["||", "|x|", "|x, y|", "|x, y, z|"][self.below(4)];
        match self.below(3) {
            0 => format!("{takes} {}", self.value(depth)),
            1 => format!("{takes} {{ {} = {}; {} }}", self.name(), self.value(depth), self.value(depth)),
            _ => format!("{takes} {{ {}.{}({}) }}", self.name(), self.word(METHODS), self.arguments(depth)),
        }
    }

    fn arguments(&mut self, depth: usize) -> String {
        let count = self.below(4);
        (0..count).map(|_| self.value(depth + 1)).collect::<Vec<_>>().join(", ")
    }

    fn statement(&mut self) -> String {
        let (name, value) = (self.name(), self.value(0));
        match self.below(10) {
            0 => format!("{name}[{}] = {value};", self.value(1)),
            1 => format!("for i in {value} {{ {name} = i; }}"),
            2 => format!("{name} = switch {value} {{ {} => 1, _ => {} }};", self.word(VALUES), self.value(1)),
            3 => format!("{name} = `${{{value}}}`;"),
            4 => format!("try {{ {name} = {value}; }} catch (err) {{ {name} = err; }}"),
            5 => format!("{name}.{}({});", self.word(METHODS), self.arguments(1)),
            6 => format!("{name} {} {value};", ["+=", "-=", "*=", "/=", "%=", "**="][self.below(6)]),
            7 => format!("if {value} == {name} {{ {name} = {}; }}", self.value(1)),
            _ => format!("{name} = {value};"),
        }
    }
}

/// A program made from bytes. Each statement stands in a `try`, so that one that fails does not keep the next from running.
pub fn program(data: &[u8]) -> String {
    let mut choices = Choices(data.iter());
    let head = "unit(\"x\", \"X\").weighs(1.kg).sold_whole_as(\"appliance\");\nlet a = 1; let b = \"text\"; let c = [1, 2]; let d = #{}; let f = || a;\n";
    let statements = 1 + data.len() / 12;
    (0..statements.min(20))
        .fold(head.to_owned(), |text, _| format!("{text}try {{ {} }} catch {{ }}\n", choices.statement()))
}
